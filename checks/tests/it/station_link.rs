//! What a station says, against its JSON Schema by another library, and over a real broker with everything killed in turn.

use checks::peer_with;
use link::{Ack, Says, Tells, read};
use models::luck::Stream;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::fs;
use std::io::{BufRead as _, BufReader, Write as _};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::Duration;

const SCHEMA: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/station-link.schema.json");
const PAGE: &str = include_str!("../../../docs/station-link.md");

/// A number from 0 to below `end`.
fn below(dice: &mut Stream, end: usize) -> usize {
    (dice.unit() * end as f64) as usize
}

/// Whether each message keeps the schema of its kind, by the library.
fn valid(messages: &[(String, String)]) -> Vec<Result<(), String>> {
    let answer = peer_with("link_schema.py", &[SCHEMA], &json!(messages));
    let why = answer["why"].as_array().expect("one for each").iter();
    why.map(|why| why.as_str().map_or(Ok(()), |why| Err(why.to_string()))).collect()
}

/// Messages of the page, in its order.
fn printed() -> Vec<Value> {
    let fences = PAGE.split("```json\n").skip(1).map(|rest| rest.split("```").next().expect("it ends"));
    fences
        .flat_map(|text| {
            let each: Result<Vec<Value>, _> = serde_json::Deserializer::from_str(text).into_iter().collect();
            each.unwrap_or_else(|error| panic!("{error}: {text}"))
        })
        .collect()
}

/// The kind that a printed message is of, told by a member that no other kind has.
fn kind_of(message: &Value) -> &'static str {
    let kinds = [
        ("settings", "to-settings"),
        ("counts", "from-readings"),
        ("done", "from-answer"),
        ("asked", "from-settings"),
        ("burned", "from-health"),
        ("sign", "to-sign"),
        ("rings", "to-ack"),
        ("on", "to-stream"),
        ("press", "from-press"),
        ("since_ms", "to-keep"),
        ("id", "to-picture"),
    ];
    kinds.iter().find(|(member, _)| message.get(member).is_some()).expect("a kind").1
}

#[test]
#[ignore = "calls a Python peer"]
fn the_page_prints_what_the_schema_allows_and_the_reader_reads() {
    let messages: Vec<_> = printed().iter().map(|it| (kind_of(it).to_string(), it.to_string())).collect();
    let kinds: BTreeSet<_> = messages.iter().map(|(kind, _)| kind.as_str()).collect();
    assert!(kinds.len() == 10, "{kinds:?}");
    for ((kind, text), valid) in messages.iter().zip(valid(&messages)) {
        assert_eq!(valid, Ok(()), "{text}");
        if let Some(kind) = kind.strip_prefix("from-") {
            read(&format!("from/gate/{kind}"), text.as_bytes())
                .unwrap_or_else(|error| panic!("{text}: {error}"));
        }
    }
}

/// A message with one member gone or another in its place, at any depth.
fn changed(dice: &mut Stream, message: &mut Value) {
    let others = [
        json!(-1),
        json!(0),
        json!(70_000),
        json!(4_294_967_296_u64),
        json!(-2_147_483_649_i64),
        json!(0.5),
        json!("x"),
        json!(""),
        json!("a b"),
        json!("0123456789012345678901234"),
        json!(true),
        json!([]),
        json!([1, 70_000]),
        json!({}),
        json!({ "x": 1 }),
        json!({ "x": "y" }),
    ];
    if let Value::Object(all) = message {
        let key = all.keys().nth(below(dice, all.len().max(1))).cloned();
        match (key, below(dice, 4)) {
            (Some(key), 0) => drop(all.remove(&key)),
            (Some(key), 1) if all[&key].is_object() => changed(dice, &mut all[&key]),
            (Some(key), 1 | 2) => all[&key] = others[below(dice, others.len())].clone(),
            _ => drop(all.insert("another".into(), others[below(dice, others.len())].clone())),
        }
    }
}

/// 3,000 changed messages: what the library finds right is read, and what it finds wrong is refused.
#[test]
#[ignore = "calls a Python peer"]
fn the_reader_agrees_with_the_schema() {
    let mut dice = Stream::new(20_261_127);
    let seeds: Vec<_> = printed().into_iter().filter(|it| kind_of(it).starts_with("from-")).collect();
    let messages: Vec<_> = (0..3000)
        .map(|at| {
            let mut message = seeds[at % seeds.len()].clone();
            let kind = kind_of(&message).to_string();
            for _ in 0..=below(&mut dice, 2) {
                changed(&mut dice, &mut message);
            }
            (kind, message.to_string())
        })
        .collect();
    let mut right = 0;
    for ((kind, text), valid) in messages.iter().zip(valid(&messages)) {
        let kind = kind.strip_prefix("from-").expect("of a station");
        let ours = read(&format!("from/gate/{kind}"), text.as_bytes());
        assert_eq!(ours.is_ok(), valid.is_ok(), "{kind} {text}: {valid:?}, and {ours:?}");
        right += usize::from(valid.is_ok());
    }
    assert!(right > 500 && right < 2500, "{right}: both kinds are tried");
}

/// A broker with a folder of its own, on a port of its own.
struct Broker {
    folder: PathBuf,
    port: u16,
    child: Option<Child>,
}

impl Broker {
    fn new(folder: &Path) -> Self {
        let free = TcpListener::bind(("127.0.0.1", 0)).expect("a port");
        let port = free.local_addr().expect("a port").port();
        drop(free);
        let text = format!(
            "listener {port} 127.0.0.1\nallow_anonymous true\npersistence true\npersistence_location {}/\n\
             autosave_on_changes true\nautosave_interval 1\nlog_dest none\n",
            folder.display()
        );
        fs::write(folder.join("broker.conf"), text).expect("written");
        Self { folder: folder.into(), port, child: Some(Self::started(folder)) }
    }

    fn started(folder: &Path) -> Child {
        let mut broker = Command::new("mosquitto");
        broker.arg("-c").arg(folder.join("broker.conf")).stdout(Stdio::null()).stderr(Stdio::null());
        broker.spawn().expect("mosquitto, which `cargo xtask test` installs or names")
    }

    /// Kills it where it runs; else starts it.
    fn turned(&mut self) {
        match self.child.take() {
            Some(mut child) => kill(&mut child),
            None => self.child = Some(Self::started(&self.folder)),
        }
    }
}

/// Kill -9.
fn kill(child: &mut Child) {
    child.kill().expect("it runs");
    child.wait().expect("it ends");
}

/// What the service has on its disk, and all that it has heard.
#[derive(Default)]
struct Book {
    stored: BTreeSet<link::PressId>,
    heard: Vec<(String, String)>,
    told: usize,
}

/// The least service: stores each press once, acknowledges it whenever it is told; and now and then dies in between.
struct Service {
    ear: Child,
}

impl Service {
    fn started(broker: &Broker, book: &Arc<Mutex<Book>>, seed: u64) -> Self {
        let port = broker.port.to_string();
        let mut ear = Command::new("mosquitto_sub")
            .args(["-V", "5", "-p", &port, "-q", "1", "-c", "-i", "service", "-x", "3600", "-t", "from/#"])
            .args(["-F", "%t %p"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("mosquitto_sub");
        let lines = BufReader::new(ear.stdout.take().expect("piped")).lines();
        let book = Arc::clone(book);
        thread::spawn(move || {
            let mut dice = Stream::new(seed);
            for line in lines.map_while(Result::ok) {
                let Some((topic, text)) = line.split_once(' ') else { continue };
                let mut book = book.lock().expect("no panic");
                book.heard.push((topic.into(), text.into()));
                let Ok(heard) = read(topic, text.as_bytes()) else { continue };
                let Says::Press(told) = heard.says else { continue };
                book.told += 1;
                book.stored.insert(told.press.id);
                drop(book);
                // One of four acknowledgements is never sent: as if the service had died just then.
                if below(&mut dice, 4) > 0 {
                    let ack = Tells::Ack(Ack { press: told.press.id, rings: true });
                    let _ = Command::new("mosquitto_pub")
                        .args([
                            "-V",
                            "5",
                            "-p",
                            &port,
                            "-q",
                            "1",
                            "-t",
                            &ack.topic(&heard.station),
                            "-m",
                            &ack.text(),
                        ])
                        .stderr(Stdio::null())
                        .status();
                }
            }
        });
        Self { ear }
    }
}

/// The station on a desk: a real program, a real client library, its memory a file.
struct Desk {
    child: Child,
    lines: Receiver<String>,
}

impl Desk {
    fn started(program: &Path, broker: &Broker) -> Self {
        let mut child = Command::new(program)
            .args(["127.0.0.1", &broker.port.to_string()])
            .arg(broker.folder.join("memory"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("what was compiled runs");
        let output = BufReader::new(child.stdout.take().expect("piped"));
        let (send, lines) = channel();
        thread::spawn(move || {
            for line in output.lines().map_while(Result::ok) {
                let _ = send.send(line);
            }
        });
        Self { child, lines }
    }

    /// Presses, and waits until the program says which press it was: from then on it must not be lost.
    fn press(&mut self) -> link::PressId {
        self.child.stdin.as_mut().expect("piped").write_all(b"\n").expect("it listens");
        loop {
            let line = self.lines.recv_timeout(Duration::from_mins(1)).expect("the desk answers");
            let words: Vec<&str> = line.split(' ').collect();
            if let ["felt", boot, seq, at_ms] = words[..] {
                let number = |text: &str| text.parse().expect("a number");
                return link::PressId {
                    boot: number(boot) as u32,
                    seq: number(seq) as u32,
                    at_ms: number(at_ms),
                };
            }
        }
    }
}

/// The files of the station's end with the program around them, compiled; a memory that does not wear may keep at once.
fn desk(folder: &Path) -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let file = |path: &str| here.join("../crates").join(path);
    for (name, text) in [
        ("dw_plate.h", detector::C_HEADER),
        ("dw_plate.c", detector::C_SOURCE),
        ("dw_station.h", link::C_HEADER),
        ("dw_station.c", link::C_SOURCE),
    ] {
        fs::write(folder.join(name), text).expect("written");
    }
    fs::copy(file("link/tests/c/dw_station_config.h"), folder.join("dw_station_config.h")).expect("copied");
    let program = folder.join("desk");
    let ran = Command::new("cc")
        .args(["-std=c99", "-Wall", "-Wextra", "-Werror", "-pedantic", "-O1", "-DDW_KEEP_APART_MS=0u", "-I"])
        .arg(folder)
        .arg(file("link/examples/desk.c"))
        .args([folder.join("dw_station.c"), folder.join("dw_plate.c")])
        .args(["-lmosquitto", "-o"])
        .arg(&program)
        .output()
        .expect("the compiler that links Rust");
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    program
}

/// Presses while station, broker and service are killed at random: in the end every press that was felt is stored, none
/// that was not, and all that was said keeps the schema. `SOAK` makes 400 happenings of 40.
#[test]
#[ignore = "calls a Python peer, and a broker"]
fn nothing_killed_loses_a_press() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("station-link");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder of our own");
    let program = desk(&folder);
    let mut broker = Broker::new(&folder);
    thread::sleep(Duration::from_millis(500));
    let book = Arc::new(Mutex::new(Book::default()));
    let mut service = Service::started(&broker, &book, 1);
    let mut desk = Desk::started(&program, &broker);
    let mut felt = BTreeSet::new();
    let mut dice = Stream::new(2);
    let mut killed = [0; 3];
    let waits = |felt: &BTreeSet<_>| felt.difference(&book.lock().expect("no panic").stored).count();
    let happenings = if std::env::var_os("SOAK").is_some() { 400 } else { 40 };
    for happening in 0..happenings {
        thread::sleep(Duration::from_millis(50 + below(&mut dice, 400) as u64));
        match below(&mut dice, 10) {
            0 | 1 => {
                // Half of the time just after a press, while it is on its way.
                if below(&mut dice, 2) == 0 && waits(&felt) < 7 {
                    assert!(felt.insert(desk.press()), "two presses with the same numbers");
                }
                kill(&mut desk.child);
                desk = Desk::started(&program, &broker);
                killed[0] += 1;
            }
            2 => {
                broker.turned();
                killed[1] += 1;
            }
            3 | 4 => {
                kill(&mut service.ear);
                service = Service::started(&broker, &book, 2 + happening);
                killed[2] += 1;
            }
            _ => {
                // There is room for eight; more would be dropped, and counted.
                if waits(&felt) < 7 {
                    assert!(felt.insert(desk.press()), "two presses with the same numbers");
                } else if broker.child.is_none() {
                    broker.turned();
                }
            }
        }
    }
    assert!(felt.len() >= happenings as usize / 3 && killed.iter().all(|times| *times > 0), "{killed:?}");
    if broker.child.is_none() {
        broker.turned();
    }
    // A service that found no broker has ended.
    kill(&mut service.ear);
    service = Service::started(&broker, &book, 1);
    for _ in 0..900 {
        if book.lock().expect("no panic").stored.len() >= felt.len() {
            break;
        }
        thread::sleep(Duration::from_millis(100));
    }
    kill(&mut desk.child);
    kill(&mut service.ear);
    broker.turned();
    let book = book.lock().expect("no panic");
    assert_eq!(book.stored, felt);
    let by_kind = |(topic, text): &(String, String)| {
        (format!("from-{}", topic.rsplit('/').next().unwrap_or_default()), text.clone())
    };
    let messages: Vec<_> = book.heard.iter().map(by_kind).collect();
    for ((kind, text), valid) in messages.iter().zip(valid(&messages)) {
        assert_eq!(valid, Ok(()), "{kind} {text}");
    }
    println!(
        "{} presses felt, {} stored, told {} times; killed: station {}, broker {}, service {}; {} messages",
        felt.len(),
        book.stored.len(),
        book.told,
        killed[0],
        killed[1],
        killed[2],
        messages.len()
    );
}
