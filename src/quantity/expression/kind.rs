//! Which kind of quantity a formula gives, and whether its dimensions go together.

use super::super::text::TextError;
use super::super::{Dimension, Kind};
use super::{Expression, Form, Function, Node, Operator};

/// What says the kind of a name.
type Resolve<'a> = &'a mut dyn FnMut(&str) -> Option<Kind>;

impl Expression {
    /// The kind of quantity that it gives, once `resolve` says of which kind each name is.
    ///
    /// # Errors
    /// At the first part whose dimensions do not go together, or whose name `resolve` does not know.
    pub fn kind(&self, resolve: Resolve<'_>) -> Result<Kind, TextError> {
        kind_of(&self.root, resolve)
    }
}

fn kind_of(node: &Node, resolve: Resolve<'_>) -> Result<Kind, TextError> {
    match &node.form {
        Form::Quantity(measure) => Ok(measure.kind),
        Form::Name(name) => resolve(name).ok_or_else(|| unknown_name(name, node, resolve)),
        Form::Negative(operand) => {
            let dimension = no_point(operand, kind_of(operand, resolve)?)?;
            Ok(Kind::of(dimension))
        }
        Form::Operation(operator, operands) => {
            let [left, right] = &**operands;
            let kinds = [kind_of(left, resolve)?, kind_of(right, resolve)?];
            match operator {
                Operator::Plus => sum(node, kinds),
                Operator::Minus => difference(node, kinds),
                Operator::Times | Operator::Over => product(node, *operator, operands, kinds),
                Operator::Power => power(node, operands, kinds),
            }
        }
        Form::Call(function, arguments) => {
            let kinds = arguments.iter().map(|argument| kind_of(argument, resolve));
            let kinds: Vec<Kind> = kinds.collect::<Result<_, _>>()?;
            call(*function, arguments, &kinds)
        }
    }
}

fn unknown_name(name: &str, node: &Node, resolve: Resolve<'_>) -> TextError {
    let error = TextError::new(node.span.clone(), format!("nothing here is called `{name}`"));
    let is_difference = name
        .match_indices('-')
        .any(|(at, _)| resolve(&name[..at]).is_some() && resolve(&name[at + 1..]).is_some());
    if is_difference {
        error.with_hint("a minus sign between names has blanks around it")
    } else {
        error
    }
}

/// Points and differences of temperature: point + difference = point, and no two points.
fn sum(node: &Node, [left, right]: [Kind; 2]) -> Result<Kind, TextError> {
    if left.dimension != right.dimension {
        return Err(mismatch(node, format!("{right} cannot be added to {left}"), [left, right]));
    }
    if left.point && right.point {
        let error = TextError::new(node.span.clone(), "two temperatures cannot be added");
        return Err(error.with_hint("a difference of temperatures is in K: `10 °C + 10 K`"));
    }
    Ok(Kind { dimension: left.dimension, point: left.point || right.point })
}

/// Points and differences of temperature: point − point = difference, point − difference = point.
fn difference(node: &Node, [left, right]: [Kind; 2]) -> Result<Kind, TextError> {
    if left.dimension != right.dimension {
        return Err(mismatch(node, format!("{right} cannot be taken from {left}"), [left, right]));
    }
    if right.point && !left.point {
        let message = "a temperature cannot be taken from a temperature difference";
        return Err(TextError::new(node.span.clone(), message));
    }
    Ok(Kind { dimension: left.dimension, point: left.point && !right.point })
}

fn mismatch(node: &Node, message: String, kinds: [Kind; 2]) -> TextError {
    let error = TextError::new(node.span.clone(), message);
    let currencies = kinds.map(|kind| kind.dimension.currency.map(|(currency, _)| currency));
    if let [Some(left), Some(right)] = currencies
        && left != right
    {
        return error.with_hint("one formula reckons in one currency");
    }
    error
}

fn product(
    node: &Node,
    operator: Operator,
    [left, right]: &[Node; 2],
    kinds: [Kind; 2],
) -> Result<Kind, TextError> {
    let (first, second) = (no_point(left, kinds[0])?, no_point(right, kinds[1])?);
    let together =
        if operator == Operator::Times { first.times(second) } else { first.over(second) };
    match together {
        Some(dimension) => Ok(Kind::of(dimension)),
        None => {
            Err(mismatch(node, format!("{} and {} do not go together", kinds[0], kinds[1]), kinds))
        }
    }
}

fn power(node: &Node, [base, exponent]: &[Node; 2], kinds: [Kind; 2]) -> Result<Kind, TextError> {
    let dimension = no_point(base, kinds[0])?;
    plain(exponent, kinds[1], "an exponent")?;
    if dimension == Dimension::NONE {
        return Ok(Kind::of(Dimension::NONE));
    }
    let Some(whole) = exponent.whole_number() else {
        let message = format!("an exponent of {} is a whole number, written out", kinds[0]);
        let error = TextError::new(exponent.span.clone(), message);
        return Err(error.with_hint("`sqrt` takes the root of an area or the like"));
    };
    let raised = dimension.to_the(whole);
    let raised =
        raised.ok_or_else(|| TextError::new(node.span.clone(), "the power is too high"))?;
    Ok(Kind::of(raised))
}

fn call(function: Function, arguments: &[Node], kinds: &[Kind]) -> Result<Kind, TextError> {
    // The parser leaves no function without an argument.
    let (Some((first, rest)), Some(argument)) = (kinds.split_first(), arguments.first()) else {
        return Ok(Kind::default());
    };
    match function {
        Function::Min | Function::Max => {
            if let Some(odd) = rest.iter().position(|kind| kind != first) {
                let message = format!("{} cannot be compared with {first}", rest[odd]);
                return Err(TextError::new(arguments[odd + 1].span.clone(), message));
            }
            Ok(*first)
        }
        Function::Abs => no_point(argument, *first).map(Kind::of),
        Function::Sqrt => {
            let dimension = no_point(argument, *first)?;
            root(dimension).map(Kind::of).ok_or_else(|| {
                TextError::new(argument.span.clone(), format!("{first} has no square root"))
            })
        }
        Function::Sin | Function::Cos | Function::Tan | Function::Exp | Function::Ln => {
            plain(argument, *first, &format!("the argument of `{}`", function.word()))?;
            Ok(Kind::of(Dimension::NONE))
        }
    }
}

/// The dimension whose square `dimension` is.
fn root(dimension: Dimension) -> Option<Dimension> {
    let half = |exponent: i8| (exponent % 2 == 0).then_some(exponent / 2);
    let mut exponents = [0; 8];
    for (out, exponent) in exponents.iter_mut().zip(dimension.exponents) {
        *out = half(exponent)?;
    }
    let currency = match dimension.currency {
        Some((currency, exponent)) => Some((currency, half(exponent)?)),
        None => None,
    };
    Some(Dimension { exponents, currency })
}

/// The dimension of what is no temperature point.
fn no_point(node: &Node, kind: Kind) -> Result<Dimension, TextError> {
    if !kind.point {
        return Ok(kind.dimension);
    }
    let message = "a temperature can only be compared, or a difference taken";
    Err(TextError::new(node.span.clone(), message)
        .with_hint("take another temperature from it first: `(a - b) * 2`"))
}

fn plain(node: &Node, kind: Kind, what: &str) -> Result<(), TextError> {
    if kind == Kind::of(Dimension::NONE) {
        return Ok(());
    }
    Err(TextError::new(node.span.clone(), format!("{what} is a plain number, and this is {kind}")))
}
