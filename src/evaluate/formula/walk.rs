//! From the parts of a formula to its value.

use super::dual::Dual;
use super::scalar::Scalar;
use super::{Undefined, Why};
use crate::quantity::expression::{Form, Function, Node, Operator};

/// The value of `node` with its slopes, once `resolve` says what each name is.
///
/// The parser bounds how deep a formula can be.
pub(super) fn value_of<S: Scalar>(
    node: &Node,
    resolve: &dyn Fn(&str) -> Option<Dual<S>>,
) -> Result<Dual<S>, Undefined> {
    let undefined = |why| Undefined { formula: None, why, span: node.span.clone() };
    let value = match &node.form {
        Form::Quantity(measure) => Ok(Dual::constant(S::exact(measure.base))),
        Form::Name(name) => resolve(name).ok_or(Why::UnknownName),
        Form::Negative(operand) => Ok(value_of(operand, resolve)?.negative()),
        Form::Operation(operator, operands) => {
            let [left, right] = &**operands;
            operation(*operator, value_of(left, resolve)?, value_of(right, resolve)?)
        }
        Form::Call(function, arguments) => {
            let arguments = arguments.iter().map(|argument| value_of(argument, resolve));
            call(*function, arguments.collect::<Result<_, _>>()?)
        }
    };
    let value = value.map_err(undefined)?;
    let is_finite = value.value.is_finite() && value.slopes.iter().all(|slope| slope.is_finite());
    if is_finite { Ok(value) } else { Err(undefined(Why::TooLarge)) }
}

fn operation<S: Scalar>(operator: Operator, left: Dual<S>, right: Dual<S>) -> Result<Dual<S>, Why> {
    match operator {
        Operator::Plus => Ok(left.plus(right)),
        Operator::Minus => Ok(left.minus(right)),
        Operator::Times => Ok(left.times(right)),
        Operator::Over => left.over(right),
        Operator::Power => left.power(right),
    }
}

fn call<S: Scalar>(function: Function, arguments: Vec<Dual<S>>) -> Result<Dual<S>, Why> {
    let mut arguments = arguments.into_iter();
    // The parser leaves no function without an argument.
    let Some(first) = arguments.next() else { return Ok(Dual::constant(S::exact(0.0))) };
    match function {
        Function::Min => Ok(arguments.fold(first, Dual::min)),
        Function::Max => Ok(arguments.fold(first, Dual::max)),
        Function::Abs => Ok(first.abs()),
        Function::Sqrt => first.sqrt(),
        Function::Sin => Ok(first.sin()),
        Function::Cos => Ok(first.cos()),
        Function::Tan => first.tan(),
        Function::Exp => Ok(first.exp()),
        Function::Ln => first.ln(),
    }
}
