//! Walking through a short text: what is wrong in it and where, blanks, numbers.

use std::ops::Range;

use super::exact::Ratio;

/// What is wrong in a text, and at which of its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextError {
    /// The offending bytes within the text.
    pub span: Range<usize>,
    /// What is wrong, in one sentence without a full stop.
    pub message: String,
    /// What would be right, where that can be said.
    pub hint: Option<String>,
}

impl TextError {
    /// An error at `span`.
    pub(super) fn new(span: Range<usize>, message: impl Into<String>) -> Self {
        Self { span, message: message.into(), hint: None }
    }

    /// The same with a remedy.
    pub(super) fn with_hint(self, hint: impl Into<String>) -> Self {
        Self { hint: Some(hint.into()), ..self }
    }
}

/// A number of more digits is a slip or an attack; so many are kept exactly.
const MOST_DIGITS: usize = 24;

/// The largest exponent of ten that a number may be written with.
const LARGEST_EXPONENT: i32 = 30;

/// What is said where a number should stand.
pub(super) const NUMBER_MISSING: &str = "a number is missing";

/// What is said of a number with a comma or a gap.
pub(super) const SEPARATED: &str = "a number is written without commas and gaps";

/// A place in a text.
#[derive(Clone)]
pub(super) struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Self { text, at: 0 }
    }

    /// The offset of the next byte.
    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// What was read since `start`.
    pub(super) fn since(&self, start: usize) -> &'a str {
        &self.text[start..self.at]
    }

    /// What is still to be read.
    pub(super) fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    /// The next character, left in place.
    pub(super) fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    /// Steps over `token` if it comes next.
    pub(super) fn take(&mut self, token: &str) -> bool {
        let found = self.rest().starts_with(token);
        if found {
            self.at += token.len();
        }
        found
    }

    /// Steps over the characters for which `wanted` holds.
    pub(super) fn take_while(&mut self, wanted: impl Fn(char) -> bool) -> &'a str {
        let rest = self.rest();
        let length = rest.find(|c| !wanted(c)).unwrap_or(rest.len());
        self.at += length;
        &rest[..length]
    }

    /// Steps over blanks, the unbreakable ones of typesetters included.
    pub(super) fn skip_blanks(&mut self) {
        self.take_while(char::is_whitespace);
    }

    /// The word that starts at `start`, for the span of an error: never empty unless at the end.
    pub(super) fn word_at(&self, start: usize) -> Range<usize> {
        let rest = &self.text[start..];
        let length = rest.find(char::is_whitespace).unwrap_or(rest.len());
        let first = rest.chars().next().map_or(0, char::len_utf8);
        start..start + length.max(first)
    }

    /// An error about the word that comes next.
    pub(super) fn error_here(&self, message: impl Into<String>) -> TextError {
        TextError::new(self.word_at(self.at), message)
    }

    /// Checks that nothing but blanks is left.
    pub(super) fn finish(mut self) -> Result<(), TextError> {
        self.skip_blanks();
        let rest = self.rest().trim_end();
        if rest.is_empty() {
            return Ok(());
        }
        Err(TextError::new(
            self.at..self.at + rest.len(),
            format!("`{rest}` is not understood here"),
        ))
    }

    /// Steps over a sign and says whether it was a minus; `None` where there is no sign.
    pub(super) fn take_sign(&mut self) -> Option<bool> {
        if self.take("-") || self.take("\u{2212}") {
            Some(true)
        } else {
            self.take("+").then_some(false)
        }
    }

    /// Reads a number with its sign, if it has one: `1200`, `1.5`, `-3`, `8.196e7`.
    pub(super) fn number(&mut self) -> Result<Ratio, TextError> {
        let start = self.at;
        let negative = self.take_sign().unwrap_or(false);
        let value = self.unsigned_number().map_err(|error| TextError {
            span: start.min(error.span.start)..error.span.end,
            ..error
        })?;
        Ok(if negative { value.negated() } else { value })
    }

    /// Reads a number without a sign.
    pub(super) fn unsigned_number(&mut self) -> Result<Ratio, TextError> {
        let start = self.at;
        let whole = self.take_while(|c| c.is_ascii_digit());
        let fraction = self.take_fraction();
        if whole.is_empty() && fraction.is_empty() {
            self.at = start;
            return Err(self.error_here(NUMBER_MISSING));
        }
        let exponent = self.take_exponent()?;
        self.refuse_separators(start)?;

        let digits = whole.bytes().chain(fraction.bytes()).skip_while(|digit| *digit == b'0');
        if digits.clone().count() > MOST_DIGITS {
            let message = format!("the number has more than {MOST_DIGITS} digits");
            return Err(TextError::new(start..self.at, message));
        }
        let mantissa = digits.fold(0, |sum, digit| sum * 10 + i128::from(digit - b'0'));
        let places = i32::try_from(fraction.len()).unwrap_or(i32::MAX);
        if places > LARGEST_EXPONENT || exponent.abs() > LARGEST_EXPONENT {
            let message = format!("the number is beyond 10 to the power of ±{LARGEST_EXPONENT}");
            return Err(TextError::new(start..self.at, message));
        }
        Ok(Ratio::decimal(mantissa, exponent - places))
    }

    /// The digits behind a decimal point; a point without digits is left in place.
    fn take_fraction(&mut self) -> &'a str {
        let mut ahead = self.clone();
        if !ahead.take(".") {
            return "";
        }
        let digits = ahead.take_while(|c| c.is_ascii_digit());
        if !digits.is_empty() {
            *self = ahead;
        }
        digits
    }

    /// The power of ten of `8e7`; an `e` without digits behind it is left in place.
    fn take_exponent(&mut self) -> Result<i32, TextError> {
        let mut ahead = self.clone();
        if !(ahead.take("e") || ahead.take("E")) {
            return Ok(0);
        }
        let negative = ahead.take_sign().unwrap_or(false);
        let digits = ahead.take_while(|c| c.is_ascii_digit());
        if digits.is_empty() {
            return Ok(0);
        }
        *self = ahead;
        // More digits than an i32 holds are beyond any limit: the caller says so.
        let size = digits.parse().unwrap_or(i32::MAX);
        Ok(if negative { -size } else { size })
    }

    /// Refuses a decimal comma and anything that groups digits, which are read differently
    /// from country to country.
    fn refuse_separators(&self, start: usize) -> Result<(), TextError> {
        let rest = self.rest();
        let behind = rest.strip_prefix([',', '\'', '_', '\u{2019}']).unwrap_or(rest.trim_start());
        let goes_on = behind.starts_with(|c: char| c.is_ascii_digit());
        // The `1` of `7 1/min` is no digit of the number.
        if behind.len() == rest.len() || !goes_on || behind.starts_with("1/") {
            return Ok(());
        }
        let is_part = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '\'' | '_');
        let tail = behind.find(|c| !is_part(c)).unwrap_or(behind.len());
        let end = self.at + (rest.len() - behind.len()) + tail;
        let error = TextError::new(start..end, SEPARATED);
        Err(error.with_hint("the decimal mark is a point, and thousands are not set apart"))
    }
}
