//! From the text of a formula to its parts: a Pratt parser.

use std::f64::consts::PI;

use super::super::term::{Term, read_measure};
use super::super::text::{Cursor, SEPARATED, TextError};
use super::super::unit::starts_symbol;
use super::super::{Dimension, Kind, Measure, Unit};
use super::{Expression, Form, Function, Node, Operator};
use crate::diagnostic::did_you_mean;

/// The longest formula, in bytes.
const LONGEST: usize = 4096;

/// The most numbers, names, calls and signs in one formula: it bounds how deep its tree can be.
const MOST_OPERANDS: usize = 250;

/// The most parentheses, signs and right-hand sides within one another.
const DEEPEST: usize = 64;

/// Takes the text of a formula apart.
///
/// # Errors
/// Where the text is no formula, or one beyond 4,096 bytes, 250 operands or 64 levels of nesting.
pub fn parse(text: &str) -> Result<Expression, TextError> {
    if text.len() > LONGEST {
        let message = format!("a formula has at most {LONGEST} bytes");
        return Err(TextError::new(0..text.len(), message));
    }
    let mut parser = Parser { cursor: Cursor::new(text), operands: 0, depth: 0 };
    let root = parser.expression(Binding::Nothing)?;
    parser.cursor.skip_blanks();
    if parser.cursor.peek() == Some(')') {
        return Err(parser.cursor.error_here("this `)` was never opened"));
    }
    if parser.cursor.peek().is_some() {
        return Err(parser.cursor.error_here("an operator is missing in front of this"));
    }
    Ok(Expression { root })
}

/// How strongly an operator holds its operands, from the weakest.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Binding {
    Nothing,
    Sum,
    Product,
    Sign,
    Power,
}

impl Operator {
    fn binding(self) -> Binding {
        match self {
            Self::Plus | Self::Minus => Binding::Sum,
            Self::Times | Self::Over => Binding::Product,
            Self::Power => Binding::Power,
        }
    }

    /// How strong an operator must be to take the right operand away from this one: `a - b - c`
    /// is grouped from the left, `a ^ b ^ c` from the right.
    fn right_binding(self) -> Binding {
        if self == Self::Power { Binding::Sign } else { self.binding() }
    }
}

struct Parser<'a> {
    cursor: Cursor<'a>,
    operands: usize,
    depth: usize,
}

impl Parser<'_> {
    /// Reads operands as long as the operators between them hold more strongly than `floor`.
    fn expression(&mut self, floor: Binding) -> Result<Node, TextError> {
        self.cursor.skip_blanks();
        let start = self.cursor.at();
        self.depth += 1;
        if self.depth > DEEPEST {
            let message = format!("a formula is nested at most {DEEPEST} levels deep");
            return Err(self.cursor.error_here(message));
        }
        let mut left = self.operand()?;
        while let Some(operator) = self.take_operator(floor) {
            let right = self.expression(operator.right_binding())?;
            let form = Form::Operation(operator, Box::new([left, right]));
            left = Node { form, span: start..self.cursor.at() };
        }
        self.depth -= 1;
        Ok(left)
    }

    fn take_operator(&mut self, floor: Binding) -> Option<Operator> {
        const SIGNS: [(&str, Operator); 6] = [
            ("+", Operator::Plus),
            ("-", Operator::Minus),
            ("\u{2212}", Operator::Minus),
            ("*", Operator::Times),
            ("/", Operator::Over),
            ("^", Operator::Power),
        ];
        let mut ahead = self.cursor.clone();
        ahead.skip_blanks();
        let (_, operator) = SIGNS.into_iter().find(|(sign, _)| ahead.take(sign))?;
        (operator.binding() > floor).then(|| {
            self.cursor = ahead;
            operator
        })
    }

    /// Reads what an operator can stand in front of.
    fn operand(&mut self) -> Result<Node, TextError> {
        self.operands += 1;
        if self.operands > MOST_OPERANDS {
            let message = format!("a formula has at most {MOST_OPERANDS} operands");
            return Err(self.cursor.error_here(message));
        }
        match self.cursor.peek() {
            Some('(') => self.group(),
            Some('-' | '\u{2212}') => self.negative(),
            Some(c) if c.is_ascii_digit() || c == '.' => self.quantity(),
            Some(c) if c.is_alphabetic() => self.name_or_call(),
            _ => Err(self.cursor.error_here("a number, a name or `(` is missing")),
        }
    }

    fn group(&mut self) -> Result<Node, TextError> {
        let opened = self.cursor.clone();
        self.cursor.take("(");
        let inside = self.expression(Binding::Nothing)?;
        self.close(&opened)?;
        Ok(inside)
    }

    /// Steps over the `)` that belongs to the `(` at `opened`.
    fn close(&mut self, opened: &Cursor<'_>) -> Result<(), TextError> {
        self.cursor.skip_blanks();
        if self.cursor.take(")") {
            return Ok(());
        }
        if self.cursor.peek().is_none() {
            let at = opened.at();
            return Err(TextError::new(at..at + 1, "this `(` is never closed"));
        }
        Err(self.cursor.error_here("an operator or `)` is missing in front of this"))
    }

    fn negative(&mut self) -> Result<Node, TextError> {
        if let Some(point) = self.point_below_zero() {
            return Ok(point);
        }
        let start = self.cursor.at();
        self.cursor.take_sign();
        let operand = self.expression(Binding::Sign)?;
        let span = start..self.cursor.at();
        Ok(Node { form: Form::Negative(Box::new(operand)), span })
    }

    /// Reads `-5 °C`, whose sign belongs to the number: a temperature itself has no negative.
    fn point_below_zero(&mut self) -> Option<Node> {
        let mut ahead = self.cursor.clone();
        let measure = read_measure(&mut ahead).ok().filter(|measure| measure.kind.point)?;
        let span = self.cursor.at()..ahead.at();
        self.cursor = ahead;
        Some(Node { form: Form::Quantity(measure), span })
    }

    /// Reads a number, with its unit where one follows.
    fn quantity(&mut self) -> Result<Node, TextError> {
        let start = self.cursor.at();
        let mut ahead = self.cursor.clone();
        let value = ahead.unsigned_number().map_err(say_blank_behind_comma)?;
        let number = start..ahead.at();
        let bare = ahead.clone();
        ahead.skip_blanks();
        let measure = if ahead.peek().is_some_and(starts_symbol) {
            let unit_start = ahead.at();
            read_measure(&mut self.cursor)
                .map_err(|error| say_blanks_end_unit(error, unit_start))?
        } else {
            self.cursor = bare;
            Term { value, unit: Unit::none(), span: number }.into_measure()?
        };
        Ok(Node { form: Form::Quantity(measure), span: start..self.cursor.at() })
    }

    fn name_or_call(&mut self) -> Result<Node, TextError> {
        let start = self.cursor.at();
        let name = take_name(&mut self.cursor);
        let span = start..self.cursor.at();
        let mut ahead = self.cursor.clone();
        ahead.skip_blanks();
        if ahead.peek() == Some('(') {
            self.cursor = ahead;
            return self.call(name, span.start);
        }
        let form = if name == "pi" { Form::Quantity(pi()) } else { Form::Name(name.into()) };
        Ok(Node { form, span })
    }

    /// Reads the arguments of the function `word`, which starts at `start`.
    fn call(&mut self, word: &str, start: usize) -> Result<Node, TextError> {
        let word_span = start..start + word.len();
        let known = Function::WORDS.iter().find(|(known, _)| *known == word);
        let Some((_, function)) = known else {
            let message = format!("there is no function `{word}`");
            let hint = did_you_mean(word, Function::WORDS.iter().map(|(known, _)| *known));
            return Err(TextError { span: word_span, message, hint });
        };
        let opened = self.cursor.clone();
        self.cursor.take("(");
        let mut arguments = vec![self.expression(Binding::Nothing)?];
        while self.take_comma() {
            arguments.push(self.expression(Binding::Nothing)?);
        }
        self.close(&opened)?;
        if function.takes_one() && arguments.len() > 1 {
            return Err(TextError::new(word_span, format!("`{word}` takes one argument")));
        }
        Ok(Node { form: Form::Call(*function, arguments), span: start..self.cursor.at() })
    }

    fn take_comma(&mut self) -> bool {
        self.cursor.skip_blanks();
        self.cursor.take(",")
    }
}

/// Steps over letters and digits, and over each `-`, `_` and `.` between two of them.
fn take_name<'a>(cursor: &mut Cursor<'a>) -> &'a str {
    let start = cursor.at();
    loop {
        cursor.take_while(char::is_alphanumeric);
        let mut ahead = cursor.clone();
        let joins = ahead.take("-") || ahead.take("_") || ahead.take(".");
        if !joins || !ahead.peek().is_some_and(char::is_alphanumeric) {
            return cursor.since(start);
        }
        *cursor = ahead;
    }
}

fn pi() -> Measure {
    Measure { base: PI, exact: None, kind: Kind::of(Dimension::NONE), unit: Unit::none() }
}

/// In a formula a comma may also have been meant to part two arguments.
fn say_blank_behind_comma(error: TextError) -> TextError {
    if error.message != SEPARATED {
        return error;
    }
    error.with_hint("the decimal mark is a point; between two arguments a blank follows the comma")
}

/// Behind a unit, `*` and `/` without blanks still belong to it, which may not have been meant.
fn say_blanks_end_unit(error: TextError, unit_start: usize) -> TextError {
    if error.span.start <= unit_start {
        return error;
    }
    let hint = "a unit ends at a blank: `3 mm * reach`";
    let hint = error.hint.as_ref().map_or(hint.into(), |meant| format!("{meant} {hint}"));
    error.with_hint(hint)
}
