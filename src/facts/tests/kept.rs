//! The shape of kept facts has a version.

use twox_hash::XxHash3_128;

use super::{MM, binary_stl, cuboid};
use crate::facts::{Facts, Kind, VERSION, of};
use crate::fileset::ContentKey;
use crate::pointer::Pointer;
use crate::store::{Key, Single};

/// Where this differs, facts of before are read in another way, or are others: raise [`VERSION`].
#[test]
fn the_shape_of_facts_has_a_version() {
    let mut block = cuboid([60.0, 40.0, 20.0]);
    let whole = of(MM, &binary_stl(&block));
    block.truncate(11);
    let facts = [
        whole,
        of(MM, &binary_stl(&block)),
        of(Kind::Step, b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n"),
        Facts::Pointer(Pointer { digest: [7; 32], bytes: 120 }),
        Facts::OutOfReach { why: "it is no regular file".to_owned() },
        of(MM, b""),
    ];
    assert!(matches!(facts[1], Facts::Mesh(_)) && matches!(facts[2], Facts::Geometry(_)));
    let folder = tempfile::tempdir().expect("there is room");
    let (file, key) =
        (Single::open(folder.path(), "facts"), Key::new(ContentKey::new(&[]), "mesh", ""));
    file.put(&key, &facts.to_vec());
    assert_eq!(file.get::<Vec<Facts>>(&key).as_deref(), Some(facts.as_slice()));
    let digest = XxHash3_128::oneshot(&file.bytes(&key).expect("it was kept"));
    let (_, version) = VERSION.split_once('/').expect("it follows the program's");
    insta::assert_snapshot!(format!("{version}: {digest:032x}"), @"2: ff61c4837f0ce337abc41abf1241a280");
}
