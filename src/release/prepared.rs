//! The release that a manifest prepares.

use semver::Version;

/// Whether a tag of `version` is one of the release `next`: that itself, or an earlier trial of it.
#[must_use]
pub fn is_prepared(version: &Version, next: &Version) -> bool {
    let core = |version: &Version| (version.major, version.minor, version.patch);
    let is_trial = !version.pre.is_empty() && next.pre.is_empty();
    version.cmp_precedence(next).is_eq() || (is_trial && core(version) == core(next))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn version(text: &str) -> Version {
        Version::parse(text).expect("a version")
    }

    #[test]
    fn trials_belong_to_the_release_that_they_try() {
        assert!(is_prepared(&version("1.0.0"), &version("1.0.0")));
        assert!(
            is_prepared(&version("1.0.0+b2"), &version("1.0.0")),
            "build metadata says nothing"
        );
        assert!(is_prepared(&version("1.0.0-rc.1"), &version("1.0.0")));
        assert!(!is_prepared(&version("1.0.0"), &version("1.1.0")));
        assert!(!is_prepared(&version("1.0.0"), &version("1.0.0-rc.1")));
        assert!(!is_prepared(&version("1.0.0-rc.1"), &version("1.0.0-rc.2")));
    }
}
