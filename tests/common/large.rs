//! Meshes, and pointers in their place.

use std::fs;
use std::path::PathBuf;

use sha2::{Digest, Sha256};

use super::Scratch;

/// A tetrahedron whose three edges at the origin are right-angled and 60 mm and `height` mm long: its
/// volume is a sixth of their product.
pub fn tetrahedron(height: u32) -> String {
    let corners = [[0, 0, 0], [60, 0, 0], [0, 60, 0], [0, 0, height]];
    let faces = [[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]];
    let vertex = |[x, y, z]: [u32; 3]| format!("vertex {x} {y} {z}\n");
    let facet = |face: [usize; 3]| {
        let vertices = face.map(|at| vertex(corners[at])).concat();
        format!("facet normal 0 0 0\nouter loop\n{vertices}endloop\nendfacet\n")
    };
    format!("solid gate\n{}endsolid gate\n", faces.map(facet).concat())
}

/// The SHA-256 digest of a content, in hexadecimal digits.
pub fn digest_of(content: &[u8]) -> String {
    Sha256::digest(content).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What stands in the repository for a large content.
pub fn pointer_to(content: &[u8]) -> String {
    format!(
        "version https://git-lfs.github.com/spec/v1\noid sha256:{}\nsize {}\n",
        digest_of(content),
        content.len()
    )
}

/// Where the content of a pointer lies once it was fetched, with the folders above it made.
pub fn place_of(scratch: &Scratch, content: &[u8]) -> PathBuf {
    let name = digest_of(content);
    let folder = scratch.path().join(".git/lfs/objects").join(&name[..2]).join(&name[2..4]);
    fs::create_dir_all(&folder).unwrap();
    folder.join(name)
}

/// Has the content of a pointer at hand.
pub fn fetch(scratch: &Scratch, content: &str) {
    fs::write(place_of(scratch, content.as_bytes()), content).unwrap();
}
