//! A folder to run the program in, worksheets to put there, and what came of a run.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use tempfile::TempDir;

/// A worksheet without a mistake, whose check holds.
pub const GOOD: &str = "# Tank\n\n```given\nL = 2 m -- side of the tank\n```\n\n```work\nA = L^2 = ? m^2\n```\n\n\
                    ```check\nA > 3 m^2\n```\n";

/// The same with a name that nothing defines, in line 8.
pub fn bad() -> String {
    GOOD.replace("A = L^2", "A = L missing_name")
}

/// The same with a check that does not hold.
pub fn failing() -> String {
    GOOD.replace("A > 3", "A > 5")
}

/// A folder of its own to run the program in.
pub struct Desk {
    pub folder: TempDir,
}

impl Desk {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        Self { folder }
    }

    /// A desk with these files.
    pub fn with(files: &[(&str, &str)]) -> Self {
        let desk = Self::new();
        for (name, text) in files {
            desk.write(name, text.as_bytes());
        }
        desk
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn write(&self, name: &str, bytes: &[u8]) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    pub fn exists(&self, name: &str) -> bool {
        self.path(name).exists()
    }

    /// Every file, so that one left behind shows.
    pub fn names(&self) -> Vec<String> {
        let mut names = Vec::new();
        list(self.folder.path(), self.folder.path(), &mut names);
        names.sort();
        names
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_setsquare"));
        command.current_dir(self.folder.path()).args(arguments);
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Run {
        self.run_with(arguments, b"")
    }

    /// Runs the program with these bytes on standard input.
    pub fn run_with(&self, arguments: &[&str], input: &[u8]) -> Run {
        let mut child = self
            .command(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // A program that does not read its input closes it early.
        let _ = child.stdin.take().unwrap().write_all(input);
        Run::of(child.wait_with_output().unwrap())
    }
}

fn list(top: &Path, folder: &Path, names: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            list(top, &path, names);
        } else {
            let name = path.strip_prefix(top).unwrap();
            names.push(name.to_str().unwrap().to_owned());
        }
    }
}

/// What came of a run.
#[derive(Debug)]
pub struct Run {
    pub status: i32,
    pub out: String,
    pub messages: String,
}

impl Run {
    pub fn of(output: Output) -> Self {
        Self {
            status: output.status.code().expect("the program was killed"),
            out: String::from_utf8(output.stdout).unwrap(),
            messages: String::from_utf8(output.stderr).unwrap(),
        }
    }

    #[track_caller]
    pub fn ends_with(self, status: i32) -> Self {
        assert_eq!(self.status, status, "{self:#?}");
        self
    }

    #[track_caller]
    pub fn says(self, text: &str) -> Self {
        assert!(self.messages.contains(text), "no `{text}` in {self:#?}");
        self
    }

    #[track_caller]
    pub fn prints(self, text: &str) -> Self {
        assert!(self.out.contains(text), "no `{text}` in {self:#?}");
        self
    }

    #[track_caller]
    pub fn prints_nothing(self) -> Self {
        assert_eq!(self.out, "", "{self:#?}");
        self
    }
}
