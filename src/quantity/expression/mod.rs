//! Formulas over quantities: `given.film-pull * reach^3 / (3 * modulus * second-moment)`.
//!
//! A formula has numbers with or without a unit (`3 mm`), names of quantities (kebab-case words,
//! with dots where another part or a constant is meant), `+ - * / ^`, parentheses, the functions of
//! [`Function`] and the constant `pi`. A unit binds to its number through `·`, `/` and `^` without
//! blanks; a minus sign behind a name has a blank before it, as `a-b` is a name.

mod kind;
mod parse;
#[cfg(test)]
mod tests;

use std::ops::Range;

use rust_decimal::Decimal;

use super::Measure;

pub use parse::parse;

/// A formula, taken apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Expression {
    root: Node,
}

/// A part of a formula, and where it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// What it is.
    pub form: Form,
    /// Its bytes within the text, without parentheses around the whole of it.
    pub span: Range<usize>,
}

/// What a part of a formula is.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// A number with its unit, or a plain one; `pi`.
    Quantity(Measure),
    /// The name of a quantity, as it was written.
    Name(Box<str>),
    /// `-a`
    Negative(Box<Node>),
    /// `a + b`
    Operation(Operator, Box<[Node; 2]>),
    /// `max(a, b)`: as many arguments as the function takes.
    Call(Function, Vec<Node>),
}

/// What stands between two parts of a formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Operator {
    /// `a + b`
    Plus,
    /// `a - b`
    Minus,
    /// `a * b`
    Times,
    /// `a / b`
    Over,
    /// `a ^ b`
    Power,
}

/// A function that formulas may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Function {
    /// The smallest of its arguments.
    Min,
    /// The largest of its arguments.
    Max,
    /// The size without the sign.
    Abs,
    /// The square root; of an area it is a length.
    Sqrt,
    /// The sine of an angle.
    Sin,
    /// The cosine of an angle.
    Cos,
    /// The tangent of an angle.
    Tan,
    /// The exponential of a plain number.
    Exp,
    /// The natural logarithm of a plain number.
    Ln,
}

impl Function {
    /// Every function with its word in a formula.
    pub const WORDS: [(&'static str, Self); 9] = [
        ("min", Self::Min),
        ("max", Self::Max),
        ("abs", Self::Abs),
        ("sqrt", Self::Sqrt),
        ("sin", Self::Sin),
        ("cos", Self::Cos),
        ("tan", Self::Tan),
        ("exp", Self::Exp),
        ("ln", Self::Ln),
    ];

    /// Its word in a formula.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }

    /// Whether it takes one argument and no more.
    #[must_use]
    pub fn takes_one(self) -> bool {
        !matches!(self, Self::Min | Self::Max)
    }
}

impl Expression {
    /// The part that everything else is a part of.
    #[must_use]
    pub fn root(&self) -> &Node {
        &self.root
    }

    /// The names in it with their places, in reading order; a name that occurs twice comes twice.
    pub fn names(&self) -> impl Iterator<Item = (&str, Range<usize>)> {
        let mut pending = vec![&self.root];
        std::iter::from_fn(move || {
            while let Some(node) = pending.pop() {
                pending.extend(node.parts().iter().rev());
                if let Form::Name(name) = &node.form {
                    return Some((&**name, node.span.clone()));
                }
            }
            None
        })
    }
}

impl Node {
    /// The parts that it is made of, in reading order.
    #[must_use]
    pub fn parts(&self) -> &[Node] {
        match &self.form {
            Form::Quantity(_) | Form::Name(_) => &[],
            Form::Negative(operand) => std::slice::from_ref(operand),
            Form::Operation(_, operands) => &**operands,
            Form::Call(_, arguments) => arguments,
        }
    }

    /// The whole number that it is, where it is one that is written out: `3`, `-2`.
    #[must_use]
    pub fn whole_number(&self) -> Option<i8> {
        match &self.form {
            Form::Quantity(measure) if measure.unit.symbol().is_empty() => {
                // The conversion alone would cut 2.5 to 2.
                let exact = measure.exact.filter(Decimal::is_integer)?;
                i8::try_from(exact).ok()
            }
            Form::Negative(operand) => operand.whole_number().and_then(i8::checked_neg),
            _ => None,
        }
    }
}
