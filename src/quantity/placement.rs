//! Where something sits and how it is turned there: `12 x 0 x 48 mm ± 0.5 mm, 90 ° about z`.

use serde::{Deserialize, Serialize};

use super::read::{read_basis, read_half_width, three_lengths, whole};
use super::term::read_measure;
use super::text::{Cursor, TextError};
use super::{Basis, Dimension, Kind, Measure};

/// Turns that one placement can hold.
const MOST_TURNS: usize = 8;

/// Where the origin of a piece sits in what holds it, and how the piece is turned there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Placement {
    /// Along x, y and z.
    pub at: [Measure; 3],
    /// The ± of each of the three, in metres, where one is given.
    pub half_width: Option<f64>,
    /// One after the other, each about an axis that keeps the direction of the holder's.
    pub turns: Vec<Turn>,
}

/// A turn by the right-hand rule.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Turn {
    /// How far.
    pub angle: Measure,
    /// About which axis: 0, 1, 2 for x, y, z.
    pub about: usize,
}

/// A point with what is known of it: `30 x 20 x 4 mm ± 1 mm stated`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Along x, y and z.
    pub at: [Measure; 3],
    /// The ± of each of the three, in metres, where one is given.
    pub half_width: Option<f64>,
    /// How it is known, where that is said.
    pub basis: Option<Basis>,
}

/// The names of the axes.
const AXES: [&str; 3] = ["x", "y", "z"];

/// The turn of nothing, by rows.
const UNTURNED: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

impl Placement {
    /// The rotation matrix, by rows: what brings a direction of the piece into the holder's axes.
    #[must_use]
    pub fn rotation(&self) -> [[f64; 3]; 3] {
        self.turns.iter().fold(UNTURNED, |turned, turn| product(turn.rotation(), turned))
    }
}

impl Turn {
    fn rotation(&self) -> [[f64; 3]; 3] {
        let [sine, cosine] = [libm::sin, libm::cos].map(|of| exact_quarter(of(self.angle.base)));
        // In the plane of the two other axes, which follow in the order x, y, z, x.
        let [first, second] = [(self.about + 1) % 3, (self.about + 2) % 3];
        let mut rotation = UNTURNED;
        rotation[first][first] = cosine;
        rotation[second][second] = cosine;
        rotation[first][second] = -sine;
        rotation[second][first] = sine;
        rotation
    }
}

/// Nothing is left of π, which no float is: a quarter turn brings x exactly onto y.
fn exact_quarter(value: f64) -> f64 {
    let rounded = value.round();
    if (value - rounded).abs() < 1e-15 { rounded + 0.0 } else { value }
}

fn product(a: [[f64; 3]; 3], b: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    [0, 1, 2].map(|i| [0, 1, 2].map(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

/// Reads a placement: three lengths, a ± where one is given, and turns behind commas.
///
/// # Errors
/// Where the text is no placement.
pub fn placement(text: &str) -> Result<Placement, TextError> {
    whole(text, |cursor| {
        let (at, half_width) = position(cursor)?;
        let mut turns = Vec::new();
        while goes_on(cursor) {
            turns.push(turn(cursor)?);
            if turns.len() > MOST_TURNS {
                let message = format!("at most {MOST_TURNS} turns can follow each other");
                return Err(TextError::new(0..text.len(), message));
            }
        }
        Ok(Placement { at, half_width, turns })
    })
}

/// Reads a point: three lengths, a ± and a basis where they are given.
///
/// # Errors
/// Where the text is no point.
pub fn point(text: &str) -> Result<Point, TextError> {
    whole(text, |cursor| {
        let (at, half_width) = position(cursor)?;
        Ok(Point { at, half_width, basis: read_basis(cursor)? })
    })
}

fn position(cursor: &mut Cursor<'_>) -> Result<([Measure; 3], Option<f64>), TextError> {
    let at = three_lengths(cursor)?;
    let start = cursor.at();
    let half_width = read_half_width(cursor, &at[2])?;
    if half_width.is_some() && cursor.since(start).contains('%') {
        // It would be one of the way from an origin that was chosen freely.
        let message = "the ± of a place is a length, not a share of it";
        return Err(TextError::new(start..cursor.at(), message).with_hint("such as `± 0.5 mm`"));
    }
    Ok((at, half_width))
}

fn goes_on(cursor: &mut Cursor<'_>) -> bool {
    cursor.skip_blanks();
    cursor.take(",")
}

/// Reads `90 ° about z`.
fn turn(cursor: &mut Cursor<'_>) -> Result<Turn, TextError> {
    const HINT: &str = "such as `90 ° about z`";
    cursor.skip_blanks();
    let start = cursor.at();
    let angle = read_measure(cursor).map_err(|error| error.with_hint(HINT))?;
    if angle.kind != Kind::of(Dimension::NONE) || angle.unit.is_share() {
        let found =
            if angle.unit.is_share() { "a share".to_owned() } else { angle.kind.to_string() };
        let message = format!("an angle is wanted here, and this is {found}");
        return Err(TextError::new(start..cursor.at(), message).with_hint(HINT));
    }
    cursor.skip_blanks();
    if !cursor.take("about") {
        return Err(cursor.error_here("about which axis it is turned is missing").with_hint(HINT));
    }
    cursor.skip_blanks();
    let axis = AXES.iter().position(|axis| cursor.take(axis));
    let about = axis.ok_or_else(|| cursor.error_here("the axis is x, y or z").with_hint(HINT))?;
    Ok(Turn { angle, about })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(text: &str) -> Placement {
        placement(text).unwrap_or_else(|error| panic!("{text}: {error:?}"))
    }

    fn mm(at: &[Measure; 3]) -> [f64; 3] {
        [0, 1, 2].map(|axis| (at[axis].base * 1e6).round() / 1e3)
    }

    #[test]
    fn a_place_is_three_lengths_perhaps_with_a_spread_and_turns() {
        let plain = placed("12 x 0 x -48 mm");
        assert_eq!((mm(&plain.at), plain.half_width), ([12.0, 0.0, -48.0], None));
        assert_eq!(plain.rotation(), UNTURNED);
        let full = placed("1.2 cm x 0 x 48 mm ± 0.5 mm, 90 ° about z, 0.5 rad about x");
        assert_eq!((mm(&full.at), full.half_width), ([12.0, 0.0, 48.0], Some(0.0005)));
        assert_eq!(full.turns.iter().map(|turn| turn.about).collect::<Vec<_>>(), [2, 0]);
    }

    /// By the right-hand rule a quarter turn about z brings x onto y, then one about x brings that
    /// onto z.
    #[test]
    fn turns_follow_each_other_about_fixed_axes() {
        let onto = |text: &str| {
            let rotation = placed(&format!("0 x 0 x 0 mm, {text}")).rotation();
            [0, 1, 2].map(|row| rotation[row][0])
        };
        assert_eq!(onto("90 ° about z"), [0.0, 1.0, 0.0]);
        assert_eq!(onto("90 ° about z, 90 ° about x"), [0.0, 0.0, 1.0]);
        assert_eq!(onto("90 ° about x, 90 ° about z"), [0.0, 1.0, 0.0]);
        assert_eq!(onto("90 ° about y"), [0.0, 0.0, -1.0]);
        assert_eq!(onto("180 ° about y"), [-1.0, 0.0, 0.0]);
    }

    #[test]
    fn what_is_no_place_is_told() {
        let wrong = |text: &str| {
            let error = placement(text).expect_err(text);
            format!("«{}» {}", &text[error.span], error.message)
        };
        assert_eq!(wrong("1 x 2 mm"), "«» `x` is missing between two sizes");
        let share = "« ± 1 %» the ± of a place is a length, not a share of it";
        assert_eq!(wrong("1 x 2 x 3 mm ± 1 %"), share);
        assert_eq!(
            wrong("1 x 2 x 3 mm, 4 mm about x"),
            "«4 mm» an angle is wanted here, and this is a length"
        );
        assert_eq!(wrong("1 x 2 x 3 mm, 90 °"), "«» about which axis it is turned is missing");
        assert_eq!(wrong("1 x 2 x 3 mm, 90 ° about w"), "«w» the axis is x, y or z");
        assert!(placement(&format!("1 x 2 x 3 mm{}", ", 1 ° about x".repeat(9))).is_err());
    }

    #[test]
    fn a_point_says_how_it_is_known() {
        let known = point("30 x 20 x 4 mm ± 1 mm stated").expect("a point");
        assert_eq!((known.half_width, known.basis), (Some(0.001), Some(Basis::Stated)));
        assert_eq!(point("30 x 20 x 4 mm").expect("a point").basis, None);
    }
}
