//! Telling at a glance that a key is not there.

use toml::de::DeTable;

/// Which keys a table may have. Most of those that are asked for are not there, and this tells so
/// without comparing texts.
#[derive(Clone, Copy)]
pub(super) struct Marks(u64);

impl Marks {
    /// The marks of all keys of `table`.
    pub(super) fn of(table: &DeTable<'_>) -> Self {
        Self(table.keys().fold(0, |marks, key| marks | Self::mark(key.get_ref())))
    }

    /// Whether `key` may be one of them.
    pub(super) fn may_have(self, key: &str) -> bool {
        self.0 & Self::mark(key) != 0
    }

    fn mark(key: &str) -> u64 {
        let first = key.bytes().next().unwrap_or_default();
        1 << ((usize::from(first) * 7 + key.len()) % 64)
    }
}
