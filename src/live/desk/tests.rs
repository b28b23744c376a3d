//! The desk over files in memory, with its clock in the test's hands.

use std::sync::Mutex;
use std::sync::mpsc;

use serde_json::Value;

use super::*;
use crate::text::{self, Files, Source, Unread};
use crate::worksheet;

/// A folder in memory. A file whose text is [`BAD`] makes whoever reads it fail.
#[derive(Default)]
struct Memory {
    files: text::Memory,
    watched: Mutex<Vec<Address>>,
}

const BAD: &str = "this makes the program fail";

impl Files for Memory {
    fn bytes(&self, path: &str, most: usize) -> Result<Vec<u8>, Unread> {
        let bytes = self.files.bytes(path, most);
        assert_ne!(bytes, Ok(BAD.into()));
        bytes
    }

    fn names(&self, folder: &str) -> Result<Vec<String>, Unread> {
        self.files.names(folder)
    }
}

impl Folder for Memory {
    fn stands_at(&self, address: &Address) -> Result<Address, Unread> {
        Ok(address.clone())
    }

    fn watch(&self, address: &Address) {
        self.watched.lock().unwrap().push(address.clone());
    }
}

/// A desk, its files, what it told and its clock.
struct Room {
    files: Arc<Memory>,
    told: Arc<Mutex<Vec<Notice>>>,
    desk: Desk,
    now: Instant,
}

fn at(path: &str) -> Address {
    Address::of(path).unwrap()
}

fn sheet(force: u32) -> String {
    format!("```given\nF = {force} kN\n```\n\n`2 F = ? kN`\n")
}

impl Room {
    fn with(texts: &[(&str, &str)]) -> Self {
        let files = Arc::new(Memory::default());
        let told = Arc::new(Mutex::new(Vec::new()));
        let tell = {
            let told = Arc::clone(&told);
            move |notice: &Notice| told.lock().unwrap().push(notice.clone())
        };
        let (name, run) = ("folder".to_owned(), "run".to_owned());
        let shared: Arc<dyn Folder> = Arc::clone(&files) as _;
        let room = Self {
            desk: Desk::new(shared, Arc::new(tell), name, run),
            files,
            told,
            now: Instant::now(),
        };
        for (path, text) in texts {
            room.write(path, text);
        }
        room
    }

    fn write(&self, path: &str, text: &str) {
        self.files.files.write(path, text);
    }

    fn delete(&self, path: &str) {
        self.files.files.remove(path);
    }

    /// Hears that a file changed, and lets so much time go by.
    fn changed(&mut self, path: &str, milliseconds: u64) {
        let (address, saved, now) = (at(path), Saved::Whole, self.now);
        self.desk.hear_safely(Event::Changed {
            address,
            saved,
            at: now,
        });
        self.pass(milliseconds);
    }

    fn pass(&mut self, milliseconds: u64) {
        let end = self.now + Duration::from_millis(milliseconds);
        self.desk.settle(self.now);
        while let Some(wait) = self.desk.wait(self.now).filter(|it| self.now + *it <= end) {
            self.now += wait;
            self.desk.settle(self.now);
        }
        self.now = end;
    }

    fn page(&mut self, path: &str) -> Option<Page> {
        let (answer, answered) = mpsc::channel();
        let address = at(path);
        self.desk.hear_safely(Event::Page { address, answer });
        answered.try_recv().ok()
    }

    fn follow(&mut self, path: Option<&str>, shown: Shown) -> Browser {
        let (follower, seat) = Follower::new(shown);
        let address = path.map(at);
        self.desk.hear_safely(Event::Follow { address, follower });
        Browser { seat }
    }

    /// A browser that has followed a worksheet for a while.
    fn watch(&mut self, path: &str) -> Browser {
        let mut browser = self.follow(Some(path), Shown::default());
        browser.kinds();
        browser
    }
}

struct Browser {
    seat: Seat,
}

impl Browser {
    fn next(&mut self) -> Option<Value> {
        let text = self.seat.messages.try_recv().ok()?;
        Some(serde_json::from_str(&text).unwrap())
    }

    /// The kinds of the messages that have come.
    fn kinds(&mut self) -> Vec<String> {
        let messages = std::iter::from_fn(|| self.next());
        messages
            .map(|message| message["kind"].as_str().unwrap().to_owned())
            .collect()
    }
}

#[test]
fn a_browser_that_is_up_to_date_is_only_greeted() {
    let mut room = Room::with(&[("a.md", &sheet(12))]);
    let mut first = room.follow(Some("a.md"), Shown::default());
    let hello = first.next().unwrap();
    assert_eq!(first.kinds(), ["parts"]);
    let shown = Shown {
        run: hello["run"].as_str().unwrap().to_owned(),
        version: hello["version"].as_u64().unwrap(),
    };
    assert_eq!(room.follow(Some("a.md"), shown).kinds(), ["hello"]);
}

#[test]
fn all_who_follow_hear_of_a_save_once() {
    let mut room = Room::with(&[("a.md", &sheet(12))]);
    let mut browsers = [room.watch("a.md"), room.watch("a.md")];
    room.write("a.md", &sheet(13));
    room.changed("a.md", 50);
    for browser in &mut browsers {
        let message = browser.next().unwrap().to_string();
        assert!(message.contains("26"), "{message}");
        assert_eq!(browser.next(), None);
    }
    room.changed("a.md", 50);
    assert!(browsers[0].kinds().is_empty());
}

#[test]
fn a_text_that_is_gone_for_a_moment_is_not_missed() {
    let mut room = Room::with(&[("a.md", &sheet(12))]);
    let mut browser = room.watch("a.md");
    for lose in [Room::delete, |room: &Room, path: &str| room.write(path, "")] {
        lose(&room, "a.md");
        room.changed("a.md", 60);
        assert!(browser.kinds().is_empty());
        room.write("a.md", &sheet(12));
        room.changed("a.md", 200);
        assert!(browser.kinds().is_empty());
    }
}

#[test]
fn a_file_that_is_gone_is_told_of_and_its_page_stays() {
    let mut room = Room::with(&[("a.md", &sheet(12))]);
    let mut browser = room.watch("a.md");
    room.delete("a.md");
    room.changed("a.md", 200);
    let message = browser.next().unwrap();
    assert_eq!(message["kind"], "trouble");
    assert_eq!(
        message["text"],
        "a.md cannot be read: there is no such file"
    );
    assert!(matches!(room.page("a.md"), Some(Page::Html(page)) if page.contains("24")));
    room.write("a.md", &sheet(12));
    room.changed("a.md", 200);
    assert_eq!(browser.kinds(), ["parts"]);
}

#[test]
fn a_worksheet_that_comes_only_later_is_followed_from_then_on() {
    let mut room = Room::with(&[]);
    let mut browser = room.follow(Some("a.md"), Shown::default());
    assert_eq!(browser.kinds(), ["hello", "trouble"]);
    assert_eq!(room.page("b.md"), Some(Page::Missing));
    room.write("a.md", &sheet(12));
    room.changed("a.md", 50);
    assert_eq!(browser.kinds(), ["parts"]);
}

#[test]
fn what_nobody_follows_is_not_worked_on() {
    let mut room = Room::with(&[("a.md", &sheet(12))]);
    room.page("a.md");
    drop(room.watch("a.md"));
    room.desk.hear_safely(Event::Left);
    room.told.lock().unwrap().clear();
    room.write("a.md", &sheet(13));
    room.changed("a.md", 50);
    assert!(room.told.lock().unwrap().is_empty() && room.desk.open.is_empty());
    assert!(matches!(room.page("a.md"), Some(Page::Html(page)) if page.contains("26")));
}

#[test]
fn a_worksheet_that_was_closed_is_another_run_when_it_is_opened() {
    let mut room = Room::with(&[("a.md", &sheet(12))]);
    let first = room.watch("a.md");
    let run = |room: &mut Room| {
        let hello = room.follow(Some("a.md"), Shown::default()).next().unwrap();
        hello["run"].as_str().unwrap().to_owned()
    };
    let before = run(&mut room);
    drop(first);
    room.desk.hear_safely(Event::Left);
    room.write("a.md", &sheet(13));
    room.changed("a.md", 50);
    assert_ne!(run(&mut room), before);
}

#[test]
fn few_worksheets_stay_open_that_nobody_follows() {
    let names: Vec<String> = (0..40).map(|number| format!("{number}.md")).collect();
    let mut room = Room::with(&[]);
    for name in &names {
        room.write(name, "");
    }
    let _browser = room.watch("0.md");
    for name in &names {
        assert!(matches!(room.page(name), Some(Page::Html(_))));
    }
    assert_eq!(room.desk.open.len(), MOST_UNFOLLOWED + 1);
    assert!(room.desk.open.contains_key(&at("0.md")));
}

#[test]
fn a_changed_picture_makes_another_page() {
    let text = "![a](x/p.png \"A\")\n";
    let mut room = Room::with(&[
        ("sub/a.md", text),
        ("b.md", ""),
        ("sub/x/p.png", "GIF89a old"),
    ]);
    let (mut shows, mut shows_not) = (room.watch("sub/a.md"), room.watch("b.md"));
    let is_shown = |room: &mut Room, coded: &str| match room.page("sub/a.md") {
        Some(Page::Html(html)) => html.contains(&format!("src=\"data:image/gif;base64,{coded}\"")),
        _ => false,
    };
    assert!(is_shown(&mut room, "R0lGODlhIG9sZA=="));
    shows.kinds();
    room.write("sub/x/p.png", "GIF89a new");
    room.changed("sub/x/p.png", 50);
    let message = shows.next().unwrap().to_string();
    assert!(
        message.contains("data:image/gif;base64,R0lGODlhIG5ldw=="),
        "{message}"
    );
    assert!(is_shown(&mut room, "R0lGODlhIG5ldw=="));
    assert!(shows_not.kinds().is_empty());
}

#[test]
fn a_file_that_a_worksheet_reads_is_followed() {
    let text = "## 2026-03-10 First\n\nWords.\n";
    let mut room = Room::with(&[("sub/a.md", text), ("sub/b.md", "Words.\n")]);
    let mut browser = room.watch("sub/a.md");
    let mut other = room.watch("sub/b.md");
    let worksheet = worksheet::compile(Source::new("a.md", text));
    let part = &worksheet::seal::sealables(&worksheet)[0];
    let seal = worksheet::seal::Ledger::default().seal(part, "2026-03-12T16:40:05Z");
    room.write("sub/a.md.seal", &seal);
    room.changed("sub/a.md.seal", 1000);
    let message = browser.next().unwrap().to_string();
    assert!(
        message.contains("Sealed 2026-03-12 16:40:05 UTC"),
        "{message}"
    );
    room.changed("sub/a.md.seal", 1000);
    room.changed("a.md.seal", 1000);
    assert_eq!((browser.next(), other.next()), (None, None));
}

#[test]
fn what_a_worksheet_takes_from_others_is_followed() {
    let water = |density: &str| format!("```given\nf = 2\nrho = {density} kg/m^3\n```\n");
    let data = "x_i\n1\n2\n";
    let bath = "```given\nrho_b = rho of \"water.md\"\n```\n";
    let text = "```given\nrho = rho_b of \"bath.md\"\n```\n\n```data t\nfile \"t.csv\"\n\
                x_i = column \"x_i\"\n```\n\n```work\nm = rho mean(x_i) = ? kg/m^3\n```\n";
    let mut room = Room::with(&[
        ("a.md", text),
        ("bath.md", bath),
        ("water.md", &water("998.2")),
        ("t.csv", data),
        ("b.md", "Words.\n"),
    ]);
    let mut browser = room.watch("a.md");
    let mut other = room.watch("b.md");
    for (file, text, shown) in [
        ("water.md", water("900"), "1350"),
        ("t.csv", "x_i\n1\n5\n".to_owned(), "2700"),
        ("bath.md", bath.replace("rho of", "none of"), "K18"),
        ("bath.md", bath.to_owned(), "2700"),
    ] {
        room.write(file, &text);
        room.changed(file, 1000);
        let message = browser.next().expect(file).to_string();
        assert!(message.contains(shown), "{file}: {message}");
    }
    assert_eq!(other.next(), None);
}

#[test]
fn the_index_follows_its_worksheets() {
    let mut room = Room::with(&[("a.md", &sheet(12))]);
    let mut browser = room.follow(None, Shown::default());
    let (answer, _) = mpsc::channel();
    room.desk.hear_safely(Event::Index { answer });
    browser.kinds();
    room.pass(500);
    assert!(browser.next().unwrap().to_string().contains("no errors"));
    room.write("b.md", "```work\nx = y\n```\n");
    room.changed("b.md", 500);
    let last = std::iter::from_fn(|| browser.next()).last().unwrap();
    assert!(last["parts"].to_string().contains("/b.md"));
    assert_eq!(last["state"], "1 of 2 worksheets needs a look");
    room.delete("b.md");
    room.changed("b.md", 500);
    let last = std::iter::from_fn(|| browser.next()).last().unwrap();
    assert!(!last["parts"].to_string().contains("/b.md"));
}

#[test]
fn a_failure_of_the_program_ends_neither_the_desk_nor_what_is_followed() {
    let mut room = Room::with(&[("a.md", &sheet(12)), ("b.md", BAD)]);
    let mut browser = room.watch("a.md");
    assert_eq!(room.page("b.md"), None);
    room.write("a.md", BAD);
    room.changed("a.md", 50);
    let told = room.told.lock().unwrap().clone();
    let failed = |notice: &&Notice| matches!(notice, Notice::Failed { .. });
    assert_eq!(told.iter().filter(failed).count(), 2, "{told:?}");
    assert_eq!(browser.kinds(), ["trouble"]);
    room.write("a.md", &sheet(13));
    room.changed("a.md", 50);
    assert!(browser.next().unwrap().to_string().contains("26"));
}

#[test]
fn there_is_nothing_to_wait_for_when_nothing_happens() {
    let mut room = Room::with(&[("a.md", &sheet(12))]);
    let _browser = room.watch("a.md");
    let _index = room.follow(None, Shown::default());
    room.changed("a.md", 500);
    assert_eq!(room.desk.wait(room.now), None);
}
