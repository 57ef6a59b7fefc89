//! A board made of text: the station's end in C, compiled with every warning denied and the sanitizers on, run as a child.

use link::{Says, read};
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::LazyLock;

/// What the station does.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Does {
    /// A message: topic and text.
    Says(String, String),
    /// Bytes are kept.
    Keeps,
    /// They could not be.
    FailsToKeep,
    /// Lamp and tone.
    Shows(bool, u16),
    /// A setting, or a thing to do.
    Applies(u8, i32),
}

/// A station and its board.
pub(crate) struct Board {
    child: Child,
    input: ChildStdin,
    output: BufReader<ChildStdout>,
}

/// Folder with the C files, and the program; `None` where this machine has no gcc.
static HOST: LazyLock<Option<PathBuf>> = LazyLock::new(|| {
    let tests = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/c");
    let flags = ["-O1", "-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all"];
    compile("host", &[tests.join("host.c")], &flags, link::C_SOURCE)
});

/// Compiles the station's end from `source` with files of the tests; `None` where this machine has no gcc.
pub(crate) fn compile(name: &str, files: &[PathBuf], flags: &[&str], source: &str) -> Option<PathBuf> {
    // Test processes run at the same time: each compiles for itself.
    let folder =
        Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("station-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder of our own");
    for (file, text) in [
        ("dw_plate.h", detector::C_HEADER),
        ("dw_plate.c", detector::C_SOURCE),
        ("dw_station.h", link::C_HEADER),
        ("dw_station.c", source),
        ("dw_station_config.h", include_str!("../c/dw_station_config.h")),
    ] {
        std::fs::write(folder.join(file), text).expect("written");
    }
    let program = folder.join("program");
    let ran = Command::new("gcc")
        .args(["-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-Wconversion", "-Wshadow"])
        .args(flags)
        .arg("-I")
        .arg(&folder)
        .args([folder.join("dw_plate.c"), folder.join("dw_station.c")])
        .args(files)
        .arg("-o")
        .arg(&program)
        .output();
    match ran {
        Ok(ran) => {
            assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
            Some(program)
        }
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            eprintln!("no gcc here: the station's end is not tried");
            None
        }
        Err(error) => panic!("gcc: {error}"),
    }
}

impl Board {
    /// A board with nothing kept, started, its plate idle and its baseline learned; not linked.
    pub(crate) fn started() -> Option<Self> {
        let mut board = Self::new()?;
        board.run("start 1");
        board.wait(2000);
        Some(board)
    }

    /// A board that has not been started.
    pub(crate) fn new() -> Option<Self> {
        let mut child = Command::new(HOST.as_ref()?)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("what was compiled runs");
        let input = child.stdin.take().expect("piped");
        let output = BufReader::new(child.stdout.take().expect("piped"));
        Some(Self { child, input, output })
    }

    /// One that is linked as well, its greeting heard.
    pub(crate) fn linked() -> Option<Self> {
        let mut board = Self::started()?;
        board.run("link 1");
        Some(board)
    }

    /// Runs a command; what it makes the station do, with the time of each.
    pub(crate) fn run(&mut self, command: &str) -> Vec<(u64, Does)> {
        self.lines(command).iter().map(|line| does(line)).collect()
    }

    /// The same as lines.
    pub(crate) fn lines(&mut self, command: &str) -> Vec<String> {
        writeln!(self.input, "{command}").expect("the station listens");
        self.input.flush().expect("the station listens");
        let mut lines = Vec::new();
        loop {
            let mut line = String::new();
            let read = self.output.read_line(&mut line).expect("text");
            assert!(read > 0, "the station has ended after {command:?}: a sanitizer has found something");
            match line.trim_end() {
                "." => return lines,
                line => lines.push(line.to_string()),
            }
        }
    }

    /// Lets time pass, a turn each 10 ms.
    pub(crate) fn wait(&mut self, ms: u64) -> Vec<(u64, Does)> {
        self.run(&format!("wait {ms}"))
    }

    /// A finger on the plate for so long, and 200 ms after it.
    pub(crate) fn touch(&mut self, ms: u64) -> Vec<(u64, Does)> {
        self.run("plate 600");
        let mut all = self.wait(ms);
        self.run("plate 950");
        all.extend(self.wait(200));
        all
    }

    /// Tells the station something.
    pub(crate) fn hear(&mut self, kind: &str, text: &str) -> Vec<(u64, Does)> {
        self.run(&format!("hear {kind} {text}"))
    }
}

impl Drop for Board {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn does(line: &str) -> (u64, Does) {
    let mut words = line.splitn(3, ' ');
    let time = words.next().expect("a time").parse().expect("a time");
    let what = words.next().expect("what");
    let rest = words.next().unwrap_or_default();
    let (first, second) = rest.split_once(' ').unwrap_or((rest, ""));
    let does = match what {
        "send" => Does::Says(first.into(), second.into()),
        "keep" if second == "failed" => Does::FailsToKeep,
        "keep" => Does::Keeps,
        "show" => Does::Shows(first == "1", second.parse().expect("Hz")),
        "apply" => Does::Applies(first.parse().expect("what"), second.parse().expect("a value")),
        other => panic!("{other}"),
    };
    (time, does)
}

/// The messages among them, as the service reads them: what cannot be read fails the test.
pub(crate) fn said(does: &[(u64, Does)]) -> Vec<Says> {
    let message = |does: &Does| match does {
        Does::Says(topic, text) => {
            let heard = read(topic, text.as_bytes()).unwrap_or_else(|error| panic!("{text}: {error}"));
            assert_eq!(heard.station.as_str(), "gate");
            Some(heard.says)
        }
        _ => None,
    };
    does.iter().filter_map(|(_, does)| message(does)).collect()
}

/// The presses among them.
pub(crate) fn presses(does: &[(u64, Does)]) -> Vec<link::Told> {
    let press = |says| if let Says::Press(told) = says { Some(told) } else { None };
    said(does).into_iter().filter_map(press).collect()
}

/// Lamp and tone, with times.
pub(crate) fn shown(does: &[(u64, Does)]) -> Vec<(u64, bool, u16)> {
    let show = |(time, does): &(u64, Does)| match does {
        Does::Shows(lamp, tone) => Some((*time, *lamp, *tone)),
        _ => None,
    };
    does.iter().filter_map(show).collect()
}

/// The acknowledgement of a press.
pub(crate) fn ack(press: link::PressId, rings: bool) -> String {
    link::Tells::Ack(link::Ack { press, rings }).text()
}
