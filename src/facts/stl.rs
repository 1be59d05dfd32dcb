//! STL, binary and ASCII.
//!
//! A binary file has a header of 80 bytes, the number of triangles as a 32-bit integer, and 50 bytes a
//! triangle. Its header may say anything, `solid` too; the length decides: no text has a number
//! there that fits its own length. Bytes after the last triangle occur and are counted; a file
//! that is too short for its number is refused.

use super::{Refusal, Triangle, Triangles, refuse};

const HEADER_BYTES: usize = 84;
const TRIANGLE_BYTES: usize = 50;
const NORMAL_BYTES: usize = 12;

/// An STL file of either form.
pub(super) enum Stl<'a> {
    Binary(Binary<'a>),
    Ascii(Ascii<'a>),
}

impl<'a> Stl<'a> {
    /// Tells the form.
    pub(super) fn read(bytes: &'a [u8]) -> Result<Self, Refusal> {
        let stated = bytes
            .first_chunk::<HEADER_BYTES>()
            .map(|header| u32::from_le_bytes([header[80], header[81], header[82], header[83]]));
        if let Some(binary) = stated.and_then(|count| Binary::of(bytes, count)) {
            return Ok(Self::Binary(binary));
        }
        let text = bytes.trim_ascii_start();
        if text.get(..5).is_some_and(|word| word.eq_ignore_ascii_case(b"solid")) {
            return Ok(Self::Ascii(Ascii { text }));
        }
        match stated {
            None => refuse("it is too short for an STL file"),
            Some(0) => refuse("it has no triangles"),
            Some(count) => refuse(format!(
                "it is cut short: its header promises {count} triangles, it has bytes for {}",
                (bytes.len() - HEADER_BYTES) / TRIANGLE_BYTES
            )),
        }
    }
}

/// A binary STL file.
pub(super) struct Binary<'a> {
    triangles: &'a [u8],
    trailing_bytes: u64,
}

impl<'a> Binary<'a> {
    fn of(bytes: &'a [u8], count: u32) -> Option<Self> {
        let length = usize::try_from(count).ok()?.checked_mul(TRIANGLE_BYTES)?;
        let body = bytes.get(HEADER_BYTES..)?;
        let triangles = body.get(..length).filter(|triangles| !triangles.is_empty())?;
        Some(Self { triangles, trailing_bytes: (body.len() - length) as u64 })
    }

    /// Number of bytes after the last triangle.
    pub(super) fn trailing_bytes(&self) -> u64 {
        self.trailing_bytes
    }
}

impl Triangles for Binary<'_> {
    fn expected(&self) -> usize {
        self.triangles.len() / TRIANGLE_BYTES
    }

    fn each(&self, mut sink: impl FnMut(Triangle) -> Result<(), Refusal>) -> Result<(), Refusal> {
        let (triangles, _) = self.triangles.as_chunks::<TRIANGLE_BYTES>();
        triangles.iter().try_for_each(|bytes| sink(decode(bytes)))
    }

    fn pieces(&self, number: usize, multiple: usize) -> Option<Vec<Self>> {
        let length = self.expected().div_ceil(number.max(1)).next_multiple_of(multiple);
        let pieces = self.triangles.chunks(length.max(1) * TRIANGLE_BYTES);
        Some(pieces.map(|triangles| Self { triangles, trailing_bytes: 0 }).collect())
    }
}

/// The corners; the normal before them and the two bytes after them are not looked at.
fn decode(bytes: &[u8; TRIANGLE_BYTES]) -> Triangle {
    let mut triangle = Triangle::default();
    let (values, _) = bytes[NORMAL_BYTES..].as_chunks::<4>();
    for (value, bytes) in triangle.as_flattened_mut().iter_mut().zip(values) {
        *value = f32::from_le_bytes(*bytes);
    }
    triangle
}

/// An ASCII STL file: one or more `solid … endsolid`, words in either case.
pub(super) struct Ascii<'a> {
    text: &'a [u8],
}

impl Triangles for Ascii<'_> {
    fn expected(&self) -> usize {
        const SHORTEST_FACET: &str = "facet normal 0 0 1 outer loop vertex 0 0 0 vertex 1 0 0 vertex 0 1 0 endloop endfacet ";
        self.text.len() / SHORTEST_FACET.len()
    }

    fn each(&self, mut sink: impl FnMut(Triangle) -> Result<(), Refusal>) -> Result<(), Refusal> {
        let mut reader = Reader { rest: self.text, line: 1 };
        while let Some(word) = reader.word() {
            if !word.eq_ignore_ascii_case(b"solid") {
                return reader.unexpected("solid", word);
            }
            reader.skip_line();
            reader.solid(&mut sink)?;
        }
        Ok(())
    }
}

struct Reader<'a> {
    rest: &'a [u8],
    line: usize,
}

impl<'a> Reader<'a> {
    /// Facets up to and with `endsolid` and its line.
    fn solid(
        &mut self,
        sink: &mut impl FnMut(Triangle) -> Result<(), Refusal>,
    ) -> Result<(), Refusal> {
        loop {
            let word = self.word().unwrap_or_default();
            if word.eq_ignore_ascii_case(b"endsolid") {
                self.skip_line();
                return Ok(());
            }
            if !word.eq_ignore_ascii_case(b"facet") {
                return self.unexpected("facet", word);
            }
            self.expect("normal")?;
            self.point()?;
            self.expect("outer")?;
            self.expect("loop")?;
            let mut triangle = Triangle::default();
            for corner in &mut triangle {
                self.expect("vertex")?;
                *corner = self.point()?;
            }
            self.expect("endloop")?;
            self.expect("endfacet")?;
            sink(triangle)?;
        }
    }

    fn expect(&mut self, wanted: &str) -> Result<(), Refusal> {
        let word = self.word().unwrap_or_default();
        match word.eq_ignore_ascii_case(wanted.as_bytes()) {
            true => Ok(()),
            false => self.unexpected(wanted, word),
        }
    }

    fn point(&mut self) -> Result<[f32; 3], Refusal> {
        let mut point = [0.0; 3];
        for value in &mut point {
            let word = self.word().unwrap_or_default();
            let number = std::str::from_utf8(word).ok().and_then(|text| text.parse().ok());
            *value = match number {
                Some(number) => number,
                None => return self.unexpected("a number", word),
            };
        }
        Ok(point)
    }

    /// The next word, over any blanks and line ends.
    fn word(&mut self) -> Option<&'a [u8]> {
        let start = self.rest.iter().position(|byte| !byte.is_ascii_whitespace())?;
        self.line += self.rest[..start].iter().filter(|&&byte| byte == b'\n').count();
        let word = &self.rest[start..];
        let end = word.iter().position(u8::is_ascii_whitespace).unwrap_or(word.len());
        self.rest = &word[end..];
        Some(&word[..end])
    }

    /// Leaves out the rest of the line: a solid's name.
    fn skip_line(&mut self) {
        let end = self.rest.iter().position(|byte| matches!(byte, b'\n' | b'\r'));
        self.rest = &self.rest[end.unwrap_or(self.rest.len())..];
    }

    fn unexpected<T>(&self, wanted: &str, found: &[u8]) -> Result<T, Refusal> {
        const SHOWN_BYTES: usize = 20;
        let line = self.line;
        if found.is_empty() {
            return refuse(format!("it is cut short in line {line}, where {wanted} should follow"));
        }
        let found = String::from_utf8_lossy(&found[..found.len().min(SHOWN_BYTES)]);
        refuse(format!("line {line} has `{}` where {wanted} should be", found.escape_default()))
    }
}
