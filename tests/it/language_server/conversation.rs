//! A recorded conversation: a worksheet, then questions with their answers.
//!
//! ```text
//! What it is about, in a sentence or more.
//! ---- worksheet
//! the text of the worksheet
//! ---- hover
//! x = D‸_1 = ? m
//! ====
//! the answer
//! ```
//!
//! A question about a place repeats the line with a mark `‸` at the cursor. `edit` replaces one
//! line by others: the old one, a line `~~~~`, the new ones.

/// The mark at the cursor.
pub const CURSOR: char = '‸';

/// A recorded conversation.
pub struct Conversation {
    /// What it is about.
    pub about: String,
    /// The text of the worksheet.
    pub worksheet: String,
    /// The questions with their answers.
    pub turns: Vec<Turn>,
}

/// A question with its answer.
pub struct Turn {
    /// What is asked, with words that belong to it: `rename d_in`.
    pub question: String,
    /// The line with the cursor, or what else belongs to the question.
    pub lines: String,
    /// The answer in short.
    pub answer: String,
}

impl Conversation {
    /// Reads a conversation.
    pub fn read(text: &str) -> Self {
        let mut sections = text.split("\n---- ");
        let about = sections.next().unwrap().to_owned();
        let worksheet = sections.next().expect("a worksheet");
        let (word, worksheet) = worksheet.split_once('\n').unwrap();
        assert_eq!(word, "worksheet", "the worksheet comes first");
        let turns = sections.map(|section| {
            let (question, rest) = section.split_once('\n').unwrap_or((section, ""));
            let rest = format!("\n{rest}\n");
            // An edit has no answer.
            let (lines, answer) = rest.split_once("\n====\n").unwrap_or((&rest, ""));
            Turn {
                question: question.to_owned(),
                lines: lines.trim_matches('\n').to_owned(),
                answer: answer.trim_end_matches('\n').to_owned(),
            }
        });
        Self {
            about,
            worksheet: format!("{worksheet}\n"),
            turns: turns.collect(),
        }
    }

    /// Writes it as it is read.
    pub fn write(&self) -> String {
        let mut out = format!("{}\n---- worksheet\n{}", self.about, self.worksheet);
        for turn in &self.turns {
            out.push_str(&format!("---- {}\n", turn.question));
            if !turn.lines.is_empty() {
                out.push_str(&format!("{}\n", turn.lines));
            }
            if !turn.answer.is_empty() {
                out.push_str(&format!("====\n{}\n", turn.answer));
            }
        }
        out
    }
}
