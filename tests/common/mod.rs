//! Scratch repositories made by the installed git, cut off from the machine's configuration.

#![allow(dead_code, reason = "every test target needs another part of it")]

pub mod large;

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use tempfile::TempDir;

/// A folder of its own with a repository in `repo`, and an environment without surprises.
pub struct Scratch {
    root: TempDir,
    variables: Vec<(String, String)>,
}

impl Scratch {
    /// An empty repository.
    pub fn new() -> Self {
        Self::with_init(&[])
    }

    /// An empty repository, made by `git init` with further arguments.
    pub fn with_init(arguments: &[&str]) -> Self {
        let root = tempfile::tempdir().unwrap();
        let scratch = Self { root, variables: Vec::new() };
        fs::create_dir(scratch.home()).unwrap();
        fs::create_dir(scratch.path()).unwrap();
        scratch.git(&[&["init", "--quiet", "--initial-branch=main"], arguments].concat());
        scratch
    }

    /// The repository's folder.
    pub fn path(&self) -> PathBuf {
        self.folder("repo")
    }

    /// A folder beside the repository.
    pub fn folder(&self, name: &str) -> PathBuf {
        self.root.path().canonicalize().unwrap().join(name)
    }

    /// The home folder that git sees.
    pub fn home(&self) -> PathBuf {
        self.folder("home")
    }

    /// Sets a variable for everything that runs from here on.
    pub fn set(&mut self, name: &str, value: impl AsRef<Path>) {
        self.variables.push((name.to_owned(), value.as_ref().to_str().unwrap().to_owned()));
    }

    /// Writes a file of the working tree, with its folders.
    pub fn write(&self, path: &str, content: impl AsRef<[u8]>) -> &Self {
        let path = self.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
        self
    }

    /// Runs git in the repository, and returns what it prints.
    pub fn git(&self, arguments: &[&str]) -> Vec<u8> {
        self.git_in(&self.path(), arguments)
    }

    /// Runs git in a folder, and returns what it prints.
    pub fn git_in(&self, folder: &Path, arguments: &[&str]) -> Vec<u8> {
        let output = self.try_git_in(folder, arguments);
        assert!(
            output.status.success(),
            "git {arguments:?}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        output.stdout
    }

    /// Runs git in a folder, whether it succeeds or not.
    pub fn try_git_in(&self, folder: &Path, arguments: &[&str]) -> Output {
        self.command("git", folder).args(arguments).output().unwrap()
    }

    /// Runs git in the repository, and returns the line it prints.
    pub fn git_line(&self, arguments: &[&str]) -> String {
        String::from_utf8(self.git(arguments)).unwrap().trim_end().to_owned()
    }

    /// Commits everything that lies in the working tree.
    pub fn commit(&self, message: &str) -> &Self {
        self.git(&["add", "--all"]);
        self.git(&["commit", "--quiet", "--allow-empty", "--message", message]);
        self
    }

    /// A program that sees nothing of the machine but the search path.
    pub fn command(&self, program: impl AsRef<OsStr>, folder: &Path) -> Command {
        let mut command = Command::new(program);
        command
            .current_dir(folder)
            .env_clear()
            .env("PATH", std::env::var_os("PATH").unwrap_or_default())
            .env("HOME", self.home())
            .env("GIT_CONFIG_NOSYSTEM", "1")
            .env("GIT_CONFIG_GLOBAL", self.home().join(".gitconfig"))
            .env("GIT_CEILING_DIRECTORIES", self.root.path())
            .env("LC_ALL", "C")
            .env("TZ", "UTC")
            .envs(person("AUTHOR"))
            .envs(person("COMMITTER"))
            .envs(self.variables.iter().cloned());
        command
    }
}

fn person(role: &str) -> [(String, &'static str); 3] {
    [
        (format!("GIT_{role}_NAME"), "Ada Frame"),
        (format!("GIT_{role}_EMAIL"), "ada@lantern.example"),
        (format!("GIT_{role}_DATE"), "2026-03-04T10:20:30+01:00"),
    ]
}
