//! Laws: how and where a design is written down is no change of any part.

use proptest::prelude::*;
use proptest::sample::Index;

use super::facets;
use crate::fixture::MANIFEST;

/// Records with two ways to write each of their lines.
const RECORDS: [(&str, &[[&str; 2]]); 6] = [
    ("[supplier.bolt-shop]", &[["tax = \"19 %\"", "tax = \"19.0 %\""]]),
    ("[material.petg]", &[["density = \"1.27 g/cm³\"", "density = \"1270 kg/m^3\""]]),
    (
        "[part.screw]",
        &[
            ["origin = \"bought\"", "\"origin\" = 'bought'"],
            ["mass = \"800 mg ± 10 mg\"", "mass = { value = \"0.8 g\", plus-minus = \"0.01 g\" }"],
            ["designation = \"ISO 4762 M3x8\"", "designation = '''ISO 4762 M3x8'''"],
            [
                "offer = [{ supplier = \"bolt-shop\", pack = 50, price = \"3.90 EUR\" }]",
                "offer = [{ price = \"3.9 EUR\", pack = 50, supplier = \"bolt-shop\" }]",
            ],
        ],
    ),
    (
        "[part.gate]",
        &[
            ["origin = \"printed\"", "origin='printed'"],
            ["mass = \"1000 g ± 1 %\"", "mass = \"1 kg ± 0.01 kg estimated\""],
            ["material = \"petg\"", "material = \"petg\" # not PLA"],
            ["exports = [\"/A\", \"/B\"]", "exports = [\n  \"/B\", # the lid\n  \"/A\",\n]"],
            [
                "dimension = { slot = \"5 mm +0.05/-0\" }",
                "dimension.slot = \"5.00 mm +50 µm/-0 µm\"",
            ],
            ["setting = { drive = \"350 mA\" }", "setting = { drive = \"0.35 A\" }"],
            ["formula = { sag = \"2 *  slot\" }", "formula.sag = \"2 * slot\""],
            ["hazard = [\"sharp\", \"hot-surface\"]", "hazard = [\"hot-surface\", \"sharp\"]"],
            ["fits = { screw = \"^1.2\" }", "fits = { screw = \"1.2\" }"],
        ],
    ),
    ("[part.felt]", &[["origin = \"bought\"", "origin = \"\"\"bought\"\"\""]]),
    (
        "[part.scanner]",
        &[
            ["origin = \"assembled\"", "origin   =   \"assembled\""],
            [
                "contains = { gate = 1, felt = \"0.35 m\", screw = 4 }",
                "contains = { screw = { count = 4 }, felt = { amount = \"350 mm\" }, gate = {} }",
            ],
        ],
    ),
];

/// A way to write the records down.
#[derive(Debug)]
struct Layout {
    records: Vec<usize>,
    files: Vec<Index>,
    lines: Vec<Index>,
    spellings: Vec<bool>,
    folders: [&'static str; 2],
    comments: bool,
}

fn layouts() -> impl Strategy<Value = Layout> {
    let order = Just((0..RECORDS.len()).collect::<Vec<_>>()).prop_shuffle();
    let files = proptest::collection::vec(any::<Index>(), RECORDS.len());
    let lines = proptest::collection::vec(any::<Index>(), RECORDS.len());
    let spellings = proptest::collection::vec(any::<bool>(), 32);
    let folder = || prop::sample::select(vec!["cad", "old/deep", "b"]);
    (order, files, lines, spellings, [folder(), folder()], any::<bool>()).prop_map(
        |(records, files, lines, spellings, folders, comments)| Layout {
            records,
            files,
            lines,
            spellings,
            folders,
            comments,
        },
    )
}

impl Layout {
    /// The files of the design in this layout, as a fixture.
    fn text(&self) -> String {
        let mut files = vec![String::new(); 3];
        let mut spellings = self.spellings.iter().cycle();
        for (record, file) in self.records.iter().zip(&self.files) {
            let (header, lines) = RECORDS[*record];
            let mut lines: Vec<&str> = lines
                .iter()
                .map(|[one, other]| if spellings.next() == Some(&true) { one } else { other })
                .copied()
                .collect();
            let turn = self.lines[*record].index(lines.len());
            lines.rotate_left(turn);
            let comment = if self.comments { "# a remark\n\n" } else { "" };
            let record = format!("{comment}{header}\n{}\n", lines.join("\n"));
            files[file.index(3)].push_str(&record);
        }
        let [a, b] = [format!("{}/a.stl", self.folders[0]), format!("{}/z.stl", self.folders[1])];
        let records: String = files
            .iter()
            .enumerate()
            .map(|(index, text)| format!("== parts/{index}.toml\n{text}\n"))
            .collect();
        let records = records.replace("/A", &format!("/{a}")).replace("/B", &format!("/{b}"));
        format!("\n== tagworthy.toml\n{MANIFEST}\n{records}== {a}\nmesh a\n== {b}\nmesh b")
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn writing_the_same_another_way_changes_no_facet(one in layouts(), other in layouts()) {
        prop_assert_eq!(facets(&one.text()), facets(&other.text()));
    }
}
