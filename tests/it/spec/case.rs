//! Reads the suites: Markdown with level-2 headings, `worksheet` fences and `expect` fences.

/// A file of cases.
pub struct Suite {
    /// Its path below `tests/spec`.
    pub name: String,
    /// Its cases in order.
    pub cases: Vec<Case>,
}

/// A behaviour with a worksheet that shows it.
#[derive(Debug)]
pub struct Case {
    /// The heading.
    pub name: String,
    /// 1-based line of the heading.
    pub line: usize,
    /// The worksheet.
    pub worksheet: String,
    /// The lines of the `expect` fence.
    pub expect: Vec<String>,
}

/// A fence with its info words and its inner lines.
struct Fence {
    info: String,
    lines: Vec<String>,
}

/// Reads a suite; an error says what a case lacks.
pub fn read(name: &str, text: &str) -> Result<Suite, String> {
    let mut cases = Vec::new();
    let mut reader = Reader::default();
    let mut lines = text.lines().enumerate();
    while let Some((at, line)) = lines.next() {
        if let Some(heading) = line.strip_prefix("## ") {
            cases.extend(reader.finish()?);
            reader.begin(heading, at + 1);
        } else if let Some(fence) = opening(line) {
            let mut inner = Vec::new();
            loop {
                let (_, line) = lines.next().ok_or(format!("line {}: open fence", at + 1))?;
                if line == fence.0 {
                    break;
                }
                inner.push(line.to_owned());
            }
            reader.fence(Fence {
                info: fence.1.to_owned(),
                lines: inner,
            })?;
        } else {
            reader.prose |= !line.trim().is_empty();
        }
    }
    cases.extend(reader.finish()?);
    Ok(Suite {
        name: name.to_owned(),
        cases,
    })
}

/// The backticks and the info words of a line that opens a fence.
fn opening(line: &str) -> Option<(&str, &str)> {
    let ticks = line.len() - line.trim_start_matches('`').len();
    (ticks >= 3).then(|| line.split_at(ticks))
}

#[derive(Default)]
struct Reader {
    heading: Option<(String, usize)>,
    prose: bool,
    worksheet: Option<String>,
    expect: Option<Vec<String>>,
}

impl Reader {
    fn begin(&mut self, heading: &str, line: usize) {
        *self = Self {
            heading: Some((heading.trim().to_owned(), line)),
            ..Self::default()
        };
    }

    fn fence(&mut self, fence: Fence) -> Result<(), String> {
        let name = self
            .heading
            .as_ref()
            .map_or("before the first case", |it| &it.0);
        let mut words = fence.info.split_whitespace();
        match words.next() {
            Some("worksheet") if self.worksheet.is_none() => {
                self.worksheet = Some(worksheet(&fence.lines, words)?);
            }
            Some("expect") if self.worksheet.is_some() && self.expect.is_none() => {
                let lines = fence.lines.iter().map(|line| line.trim().to_owned());
                self.expect = Some(lines.filter(|line| !line.is_empty()).collect());
            }
            _ => return Err(format!("{name}: a fence `{}` out of place", fence.info)),
        }
        Ok(())
    }

    fn finish(&mut self) -> Result<Option<Case>, String> {
        let Some((name, line)) = self.heading.take() else {
            return Ok(None);
        };
        if !self.prose {
            return Err(format!("{name}: no sentence says why"));
        }
        let worksheet = self
            .worksheet
            .take()
            .ok_or(format!("{name}: no worksheet"))?;
        let expect = self
            .expect
            .take()
            .ok_or(format!("{name}: no expectation"))?;
        if expect.is_empty() {
            return Err(format!(
                "{name}: an empty expectation; write `no diagnostics`"
            ));
        }
        Ok(Some(Case {
            name,
            line,
            worksheet,
            expect,
        }))
    }
}

/// The text of a worksheet. `crlf` and `bom` after `worksheet` give it those, `open` leaves out
/// the last line ending; `{{( 200}}` repeats what stands before the number, and `{{U+0000}}` is a
/// character.
fn worksheet<'a>(lines: &[String], words: impl Iterator<Item = &'a str>) -> Result<String, String> {
    let mut text = String::new();
    for line in lines {
        text.push_str(&expand(line)?);
        text.push('\n');
    }
    for word in words {
        match word {
            "crlf" => text = text.replace('\n', "\r\n"),
            "bom" => text.insert(0, '\u{feff}'),
            "open" => text = text.trim_end_matches('\n').to_owned(),
            other => return Err(format!("`{other}` after `worksheet`")),
        }
    }
    Ok(text)
}

fn expand(line: &str) -> Result<String, String> {
    let mut out = String::new();
    let mut rest = line;
    while let Some((before, after)) = rest.split_once("{{") {
        let (inside, after) = after
            .split_once("}}")
            .ok_or(format!("`{line}`: no `}}}}`"))?;
        out.push_str(before);
        if let Some(code) = inside.strip_prefix("U+") {
            let character = u32::from_str_radix(code, 16).ok().and_then(char::from_u32);
            out.push(character.ok_or(format!("`{code}` is no character"))?);
        } else {
            let (piece, count) = inside.rsplit_once(' ').ok_or(format!("`{inside}`"))?;
            let count: usize = count
                .parse()
                .map_err(|_| format!("`{count}` is no count"))?;
            out.push_str(&piece.repeat(count));
        }
        rest = after;
    }
    out.push_str(rest);
    Ok(out)
}

#[test]
fn a_case_without_expectation_is_refused() {
    let text = "## a\nwhy\n````worksheet\nx\n````\n";
    assert_eq!(read("s", text).err().as_deref(), Some("a: no expectation"));
    let text = "## a\nwhy\n````worksheet\nx\n````\n```expect\n\n```\n";
    assert!(read("s", text).is_err());
    let text = "## a\n````worksheet\nx\n````\n```expect\nno diagnostics\n```\n";
    assert!(read("s", text).is_err());
    let text = "## a\nwhy\n````other\nx\n````\n";
    assert!(read("s", text).is_err());
}

#[test]
fn repeats_and_characters_are_expanded() {
    assert_eq!(expand("a{{( 3}}b{{U+0041}}").as_deref(), Ok("a(((bA"));
    assert!(expand("{{(").is_err());
}
