//! The built command in a folder of its own: no user's sheets, no colour, nobody at the terminal.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// An empty folder, gone when the test is done.
pub(crate) struct Folder(pub(crate) PathBuf);

impl Folder {
    /// One a test: `name` must be its own.
    pub(crate) fn new(name: &str) -> Self {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(path.join("home")).unwrap();
        Self(path)
    }

    pub(crate) fn put(&self, file: &str, bytes: impl AsRef<[u8]>) {
        let path = self.0.join(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }

    pub(crate) fn get(&self, file: &str) -> String {
        fs::read_to_string(self.0.join(file)).unwrap()
    }

    /// Everything in it, sorted; what must not be there shows.
    pub(crate) fn files(&self) -> Vec<String> {
        fn walk(at: &Path, root: &Path, found: &mut Vec<String>) {
            for path in fs::read_dir(at).unwrap().flatten().map(|entry| entry.path()) {
                if path.is_dir() {
                    walk(&path, root, found);
                } else {
                    found.push(path.strip_prefix(root).unwrap().display().to_string());
                }
            }
        }
        let mut found = Vec::new();
        walk(&self.0, &self.0, &mut found);
        found.sort();
        found
    }

    pub(crate) fn run(&self, args: &[&str]) -> Ran {
        self.run_with(args, "")
    }

    /// Runs with a text on standard input.
    pub(crate) fn run_with(&self, args: &[&str], input: &str) -> Ran {
        let mut child = Command::new(env!("CARGO_BIN_EXE_doorwright"))
            .args(args)
            .current_dir(&self.0)
            .env("HOME", self.0.join("home"))
            .env_remove("XDG_DATA_HOME")
            .env("NO_COLOR", "1")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // A command that does not read its input closes it: that is no failure of the test.
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        let done = child.wait_with_output().unwrap();
        Ran {
            out: String::from_utf8(done.stdout).unwrap(),
            err: String::from_utf8(done.stderr).unwrap(),
            code: done.status.code().expect("it ends by itself"),
        }
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// What a run printed and how it ended.
pub(crate) struct Ran {
    pub(crate) out: String,
    pub(crate) err: String,
    pub(crate) code: i32,
}

impl Ran {
    /// Both texts with the exit code, for whole-output tests; every line of the result must fit 80 columns.
    pub(crate) fn whole(&self) -> String {
        self.fits_80();
        format!("{}--- {}\n{}", self.out, self.code, self.err)
    }

    pub(crate) fn fits_80(&self) {
        for line in self.out.lines() {
            assert!(line.chars().count() <= 80, "{} columns: {line}", line.chars().count());
            assert!(!line.contains('\u{1b}'), "colour in {line:?}");
        }
    }
}
