//! What asks only at a terminal, asked at one: `diagnose` and its answers typed in.

use crate::program::Place;
use rustix::fs::{Mode, OFlags, open};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use std::fs::File;
use std::io::{Read, Write};
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// A program at a terminal.
struct Terminal {
    child: Child,
    keys: File,
    screen: Receiver<Vec<u8>>,
    shown: String,
}

impl Terminal {
    fn run(place: &Place, args: &[&str]) -> Self {
        let near = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
        grantpt(&near).unwrap();
        unlockpt(&near).unwrap();
        let name = ptsname(&near, Vec::new()).unwrap();
        let far = || Stdio::from(open(name.as_c_str(), OFlags::RDWR | OFlags::NOCTTY, Mode::empty()).unwrap());
        let mut command = place.command(args);
        let child = command.stdin(far()).stdout(far()).stderr(far()).spawn().unwrap();
        drop(command);
        let keys = File::from(near);
        let mut reader = keys.try_clone().unwrap();
        let (send, screen) = channel();
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            // The far side's end is an error here.
            while let Ok(n) = reader.read(&mut bytes) {
                if n == 0 || send.send(bytes[..n].to_vec()).is_err() {
                    break;
                }
            }
        });
        Self { child, keys, screen, shown: String::new() }
    }
    /// Waits until some words are shown, and gives all that was shown up to them; what came with them stays for the next wait.
    fn until(&mut self, words: &str) -> String {
        let end = Instant::now() + Duration::from_secs(30);
        while !self.shown.contains(words) {
            let left = end.saturating_duration_since(Instant::now());
            let bytes = self.screen.recv_timeout(left);
            let bytes = bytes.unwrap_or_else(|_| panic!("`{words}` is not shown, but:\n{}", self.shown));
            self.shown.push_str(&String::from_utf8_lossy(&bytes));
        }
        let end = self.shown.find(words).map_or(self.shown.len(), |at| at + words.len());
        let rest = self.shown.split_off(end);
        std::mem::replace(&mut self.shown, rest)
    }
    fn type_in(&mut self, line: &str) {
        self.keys.write_all(format!("{line}\n").as_bytes()).unwrap();
    }
    fn code(mut self) -> Option<i32> {
        self.child.wait().unwrap().code()
    }
}

#[test]
fn diagnose_asks_one_test_at_a_time_and_takes_answers_back() {
    let place = Place::new();
    place.example("build-24x64.toml");
    let words = ["--colour", "never", "diagnose", "build-24x64.toml", "--symptom", "missing", "--at", "west-1-outer"];
    let once = place.run(&[&words[..], &["--once", "--json"]].concat()).json();
    let first = once["next"]["answers"][0]["words"].as_str().unwrap_or_default().to_string();
    let mut terminal = Terminal::run(&place, &words);
    let asked = terminal.until("undo, stop");
    assert!(asked.contains(&first), "{first}: {asked}");
    terminal.type_in("soup");
    assert!(terminal.until("save FILE.").contains("Give the number or the word"));
    terminal.until("undo, stop");
    terminal.type_in("why");
    terminal.until("undo, stop");
    terminal.type_in("can't");
    let other = terminal.until("undo, stop");
    assert_ne!(other, asked, "another test is asked for");
    terminal.type_in("undo");
    terminal.until("undo, stop");
    terminal.type_in("save so-far.txt");
    terminal.until("wrote so-far.txt");
    assert_eq!(terminal.code(), Some(1), "nothing is found yet");
    assert!(
        place.read("so-far.txt").lines().all(|l| l.is_empty() || l.starts_with('#')),
        "{}",
        place.read("so-far.txt")
    );
}

#[test]
fn the_end_of_what_is_typed_stops_the_questions() {
    let place = Place::new();
    place.example("build-24x64.toml");
    let words = ["diagnose", "build-24x64.toml", "--symptom", "missing", "--at", "west-1-outer"];
    let mut terminal = Terminal::run(&place, &words);
    terminal.until("undo, stop");
    // Ctrl-D.
    terminal.keys.write_all(&[4]).unwrap();
    assert_eq!(terminal.code(), Some(1));
}
