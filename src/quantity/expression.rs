//! Formulas.
use super::{Kind, TextError};
use std::ops::Range;
/// A formula.
pub struct Expression;
/// Reads one.
/// # Errors
/// stub
pub fn parse(_text: &str) -> Result<Expression, TextError> {
    Ok(Expression)
}
impl Expression {
    /// Names.
    pub fn names(&self) -> impl Iterator<Item = (&str, Range<usize>)> {
        std::iter::empty()
    }
    /// Kind.
    /// # Errors
    /// stub
    pub fn kind(&self, _resolve: &mut dyn FnMut(&str) -> Option<Kind>) -> Result<Kind, TextError> {
        Ok(Kind::default())
    }
}
