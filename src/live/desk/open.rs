//! One worksheet that browsers show: its text as last read, and who follows it.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use super::follower::{self, Follower, Followers};
use crate::live::content::Content;
use crate::live::{Address, Place, Sheet, Text, shell};
use crate::text::{Files, Unread};
use crate::typeset;

/// A worksheet that browsers show.
pub(super) struct Open {
    address: Address,
    /// Tells its versions from those before it was opened: after the program was started again,
    /// and after it was closed for a while.
    run: String,
    /// What is served, of which it may read.
    files: Arc<dyn Files>,
    /// None as long as it could not be read.
    sheet: Option<Sheet>,
    /// Where its file stands: elsewhere than at its address if that is a link.
    stands_at: Address,
    /// Why what it shows is not what the file holds now.
    trouble: Option<String>,
    /// When it was read, in milliseconds since 1970.
    read: u64,
    has_text: bool,
    /// When it was last asked for, as the desk counts.
    pub(super) asked: u64,
    pub(super) followers: Followers,
}

impl Open {
    /// Opens it with what was read.
    pub(super) fn new(
        address: Address,
        run: String,
        files: Arc<dyn Files>,
        text: Result<Text, Unread>,
    ) -> Self {
        let mut open = Self {
            stands_at: address.clone(),
            address,
            run,
            files,
            sheet: None,
            trouble: None,
            read: now(),
            has_text: false,
            asked: 0,
            followers: Followers::default(),
        };
        open.take(text);
        open
    }

    /// Whether a change of this file is one of it.
    pub(super) fn is_at(&self, address: &Address) -> bool {
        self.address == *address || self.stands_at == *address
    }

    /// Whether a change of this file is one of what it shows: it is at it, or has read it.
    pub(super) fn shows(&self, address: &Address) -> bool {
        let sheet = self.sheet.as_ref();
        self.is_at(address) || sheet.is_some_and(|sheet| sheet.has_read(address.path()))
    }

    /// Takes what was read now, and tells the followers; false when they know it already.
    pub(super) fn take(&mut self, text: Result<Text, Unread>) -> bool {
        match text {
            Ok(text) => {
                let shown = catch_unwind(AssertUnwindSafe(|| self.show(text)));
                shown.unwrap_or_else(|_| self.break_down())
            }
            Err(unread) => self.fail(trouble(&unread)),
        }
    }

    fn show(&mut self, text: Text) -> bool {
        self.stands_at = text.stands_at;
        self.has_text = !text.text.is_empty();
        self.read = now();
        let message = match &mut self.sheet {
            Some(sheet) => sheet.update(&text.text),
            None => {
                let files = Arc::clone(&self.files);
                let sheet = Sheet::new(self.address.path(), &text.text, files);
                Some(self.sheet.insert(sheet).whole())
            }
        };
        // The page shows the same text as before, but says that it could not be read.
        let was_in_trouble = self.trouble.take().is_some();
        let again = || self.sheet.as_ref().filter(|_| was_in_trouble);
        let message = message.or_else(|| again().map(Sheet::whole));
        let is_news = message.is_some();
        message.into_iter().for_each(|it| self.followers.tell(it));
        is_news
    }

    /// What it shows stays, and the followers are told why it does.
    fn fail(&mut self, trouble: String) -> bool {
        let is_news = self.trouble.as_ref() != Some(&trouble);
        self.trouble = Some(trouble);
        if is_news {
            let trouble = self.trouble_message();
            trouble.into_iter().for_each(|it| self.followers.tell(it));
        }
        is_news
    }

    /// The program itself went wrong over the text: it begins anew with the next one.
    pub(super) fn break_down(&mut self) -> bool {
        self.sheet = None;
        self.run.push('n');
        self.fail(super::BROKEN.to_owned())
    }

    fn trouble_message(&self) -> Option<String> {
        let trouble = self.trouble.as_ref()?;
        Some(follower::trouble(&format!("{} {trouble}", self.address)))
    }

    /// One more browser, which is brought up to date.
    pub(super) fn greet(&mut self, follower: Follower) {
        let mut messages = vec![follower::hello(&self.run, self.version(), self.read)];
        let is_up_to_date = follower.shows(&self.run, self.version());
        if let (Some(sheet), false) = (&self.sheet, is_up_to_date) {
            messages.push(sheet.whole());
        }
        messages.extend(self.trouble_message());
        self.followers.greet(follower, messages);
    }

    /// Its page as it is now.
    pub(super) fn page(&self) -> String {
        let place = Place {
            follow: format!("/-/follow{}", self.address.url()),
            run: self.run.clone(),
        };
        match &self.sheet {
            Some(sheet) => sheet.page(&place),
            None => self.empty_page(&place),
        }
    }

    fn empty_page(&self, place: &Place) -> String {
        let mut html = String::from("<p>");
        let trouble = self.trouble.as_deref().unwrap_or_default();
        typeset::escape(&format!("It {trouble}."), &mut html);
        html.push_str("</p>\n");
        let content = Content::plain(self.address.path(), html, String::new());
        shell::page(&content, 0, place)
    }

    /// What it shows; none as long as it could not be read.
    pub(super) fn sheet(&self) -> Option<&Sheet> {
        self.sheet.as_ref()
    }

    /// Why its page is not what the file holds, to be put behind its name.
    pub(super) fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// Whether it has a text, of which it is not believed at once that it is lost.
    pub(super) fn has_text(&self) -> bool {
        self.has_text && self.trouble.is_none()
    }

    fn version(&self) -> u64 {
        self.sheet.as_ref().map_or(0, Sheet::version)
    }
}

/// Why a worksheet is not shown, to be put behind its name.
pub(super) fn trouble(unread: &Unread) -> String {
    format!("cannot be read: {}", unread.reason())
}

/// The time, as browsers count it.
pub(super) fn now() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |since| u64::try_from(since.as_millis()).unwrap_or(0))
}
