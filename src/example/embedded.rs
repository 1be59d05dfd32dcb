//! What the program carries of the example: the history files, and every mesh that they copy.

/// The bytes of files under `example-project/`, each with its path there.
macro_rules! embed {
    ($($path:literal,)*) => {
        &[$(($path, include_bytes!(concat!("../../example-project/", $path)))),*]
    };
}

/// The same for texts.
macro_rules! embed_text {
    ($($path:literal,)*) => {
        &[$(($path, include_str!(concat!("../../example-project/", $path)))),*]
    };
}

/// The history files in the order in which they are read.
pub(super) const SCRIPTS: &[(&str, &str)] = embed_text![
    "history/contributors.toml",
    "history/1-first-film.toml",
    "history/2-light-and-heat.toml",
    "history/3-a-quieter-transport.toml",
    "history/4-towards-1.0.toml",
];

/// The meshes: those of the design as it is now, and older ones.
pub(super) const MESHES: &[(&str, &[u8])] = embed![
    "history/meshes/base-tray-1.stl",
    "history/meshes/base-tray-2.stl",
    "history/meshes/camera-arm-0.stl",
    "history/meshes/camera-arm-1.stl",
    "history/meshes/film-carrier-1.stl",
    "history/meshes/film-carrier-2.stl",
    "history/meshes/film-gate-1.stl",
    "history/meshes/film-gate-2.stl",
    "history/meshes/lid-1.stl",
    "history/meshes/slotted-gate-1.stl",
    "parts/base/base-tray.stl",
    "parts/base/cable-clip.stl",
    "parts/base/dust-cover.stl",
    "parts/base/lid.stl",
    "parts/base/short-lid.stl",
    "parts/camera/camera-arm.stl",
    "parts/gate/film-carrier.stl",
    "parts/gate/film-gate.stl",
    "parts/lamp/diffuser.stl",
    "parts/lamp/heat-sink.stl",
    "parts/lamp/lamp-shell.stl",
    "parts/tools/felt-jig.stl",
    "parts/transport/motor-mount.stl",
];

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
mod tests {
    use std::collections::BTreeSet;
    use std::path::Path;

    use super::*;

    #[test]
    fn every_history_file_and_every_mesh_is_carried() {
        let mut there = BTreeSet::new();
        collect(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/example-project")), "", &mut there);
        there.retain(|path| path.starts_with("history/") || path.ends_with(".stl"));
        let scripts = SCRIPTS.iter().map(|(path, _)| (*path).to_owned());
        let meshes = MESHES.iter().map(|(path, _)| (*path).to_owned());
        assert_eq!(scripts.chain(meshes).collect::<BTreeSet<_>>(), there);
    }

    fn collect(folder: &Path, prefix: &str, found: &mut BTreeSet<String>) {
        for entry in std::fs::read_dir(folder).unwrap().map(Result::unwrap) {
            let path = format!("{prefix}{}", entry.file_name().to_str().unwrap());
            if entry.file_type().unwrap().is_dir() {
                collect(&entry.path(), &format!("{path}/"), found);
            } else {
                found.insert(path);
            }
        }
    }
}
