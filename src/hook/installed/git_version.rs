//! The oldest git that the hooks work with.

use crate::outside::{Failure, World};

/// The oldest git that the tests of the hooks pass with; the other that they were tried with is 2.47.
const OLDEST_TRIED: (u32, u32) = (2, 39);

/// The git that brought the hooks core.hooksPath (2.9), pre-merge-commit (2.24) and
/// reference-transaction (2.28), as its release notes say.
const OLDEST_THAT_CAN: (u32, u32) = (2, 28);

/// Refuses a git that does not know the hooks.
///
/// # Errors
/// [`Failure`] that names both versions.
pub(super) fn must_do(world: &World) -> Result<(), Failure> {
    match version(world) {
        Some(version) if version < OLDEST_THAT_CAN => {
            let [(major, minor), (least, least_minor)] = [version, OLDEST_THAT_CAN];
            Err(Failure::new(format!(
                "git {major}.{minor} does not know all of the hooks\n\
                 take git {least}.{least_minor} or a later one"
            )))
        }
        _ => Ok(()),
    }
}

/// What should be known of the git that is here, if anything.
pub(super) fn remark(world: &World) -> Option<String> {
    let (oldest, oldest_minor) = OLDEST_TRIED;
    match version(world) {
        None => Some("git did not say which version it is".to_owned()),
        Some(version) if version < OLDEST_TRIED => {
            let (major, minor) = version;
            Some(format!(
                "git {major}.{minor} is older than {oldest}.{oldest_minor}, the oldest that was tried"
            ))
        }
        Some(_) => None,
    }
}

/// The first two numbers of `git version 2.39.5 (…)`.
fn version(world: &World) -> Option<(u32, u32)> {
    let text = world.git.as_deref()?.trim().strip_prefix("git version ")?;
    let mut numbers = text.split(['.', ' ']);
    Some((numbers.next()?.parse().ok()?, numbers.next()?.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn world(git: &str) -> World {
        World {
            folder: ".".into(),
            width: 80,
            is_terminal: false,
            today: jiff::civil::date(2026, 11, 20),
            program: "tagworthy".into(),
            git: Some(git.to_owned()),
        }
    }

    #[test]
    fn versions_are_read_as_git_prints_them() {
        assert_eq!(version(&world("git version 2.39.5\n")), Some((2, 39)));
        assert_eq!(version(&world("git version 2.39.3 (Apple Git-146)\n")), Some((2, 39)));
        assert_eq!(version(&world("git version 2.47.1.windows.2")), Some((2, 47)));
        assert_eq!(version(&world("hub version 2")), None);
    }

    #[test]
    fn a_git_that_lacks_hooks_is_refused_and_an_old_one_remarked_on() {
        assert!(must_do(&world("git version 2.27.0")).is_err());
        assert!(must_do(&world("git version 2.30.2")).is_ok());
        assert!(remark(&world("git version 2.30.2")).is_some_and(|told| told.contains("2.39")));
        assert_eq!(remark(&world("git version 2.47.3")), None);
    }
}
