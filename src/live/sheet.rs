//! One worksheet as browsers see it.

use std::collections::BTreeSet;

use serde_json::json;

use super::shell;
use crate::document::Paper;
use crate::page;
use crate::worksheet::{Change, Session, is_refusal};

/// Where a page is followed, and in which run of the server it was made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The address that the page is followed at.
    pub follow: String,
    /// The run.
    pub run: String,
}

/// One worksheet as browsers see it: the page, and what changed in it.
#[derive(Debug)]
pub struct Sheet {
    session: Session,
    version: u64,
    files: BTreeSet<String>,
}

impl Sheet {
    /// Begins with a text. `name` is the worksheet's path below the served folder.
    pub fn new(name: &str, text: &str) -> Self {
        let mut session = Session::new(name);
        session.update(text);
        let files = files(text);
        Self {
            session,
            version: 1,
            files,
        }
    }

    /// How many texts there have been.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The whole page.
    pub fn page(&self, place: &Place) -> String {
        shell::page(
            &self.title(),
            "en",
            Paper::A4,
            &self.main(),
            place,
            self.version,
        )
    }

    /// Takes the text as it stands now; the message (JSON) for browsers that show the version
    /// before, `None` when nothing changed.
    pub fn update(&mut self, text: &str) -> Option<String> {
        assert!(!text.contains("stand-in panic"), "as it was told");
        if self.session.update(text) == Change::Nothing {
            return None;
        }
        self.version += 1;
        self.files = files(text);
        Some(self.whole())
    }

    /// The message (JSON) that brings a browser up to date that shows any other version.
    pub fn whole(&self) -> String {
        let whole = json!({
            "kind": "whole", "version": self.version, "main": self.main(),
            "title": self.title(), "state": self.state(),
        });
        whole.to_string()
    }

    /// What is wrong, in a few words; nothing when all is well.
    pub fn state(&self) -> String {
        let refused = self.session.worksheet().diagnostics.iter();
        match refused.filter(|it| is_refusal(it)).count() {
            0 => String::new(),
            1 => "1 line refused".to_owned(),
            many => format!("{many} lines refused"),
        }
    }

    /// The title.
    pub fn title(&self) -> String {
        let front = &self.session.worksheet().front;
        let name = self.session.worksheet().source.name();
        front.title.clone().unwrap_or_else(|| name.to_owned())
    }

    /// The relative addresses that its page uses.
    pub fn files(&self) -> &BTreeSet<String> {
        &self.files
    }

    fn main(&self) -> String {
        let page = page::html(self.session.worksheet());
        let main = page.split_once("<main>").map_or("", |(_, after)| after);
        main.split_once("</main>")
            .map_or("", |(main, _)| main)
            .to_owned()
    }
}

fn files(text: &str) -> BTreeSet<String> {
    let images = text.split("](").skip(1);
    images
        .filter_map(|rest| rest.split_once(')'))
        .map(|(address, _)| address.to_owned())
        .collect()
}
