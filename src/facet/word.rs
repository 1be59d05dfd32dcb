//! What a facet of a part is called.

use super::Facet;
use super::table::Shapes;
use crate::design::Design;
use crate::record::Id;

impl Facet {
    /// The word for the facet of a part: where nothing is known of its shapes but the bytes of files (a
    /// program, a drawing of a kind that is not looked into), these are what changed.
    #[must_use]
    pub fn word_of(self, design: &Design, part: &Id) -> &'static str {
        let part = design.part(part.as_str()).filter(|_| self == Self::Geometry);
        match part.is_some_and(|part| Shapes::of(design, part).are_bytes_alone()) {
            true => "files",
            false => self.word(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn what_is_no_shape_is_not_called_geometry() {
        let word = |files: &str| {
            let body = fixture::cuboid_stl([1.0; 3]);
            let part = format!("[part.scanner]\norigin = \"printed\"\n{files}\n");
            let text = format!("\n== a.toml\n{part}\n== gate.stl\n{body}\n== main.c\nint main;\n");
            let design = fixture::design(&text);
            Facet::ALL[0].word_of(&design, design.id(design.top))
        };
        assert_eq!(word("sources = [\"main.c\"]"), "files");
        assert_eq!(word("exports = [\"gate.stl\"]"), "files", "nobody says in which unit it is");
        let mesh = "mesh = { file = \"gate.stl\", unit = \"mm\" }";
        assert_eq!(word(&format!("sources = [\"main.c\"]\n{mesh}")), "geometry");
        assert_eq!(word(""), "geometry");
    }
}
