//! Markup in which nothing but text changed: mostly numbers.
//!
//! Such a change is told as the texts alone. That is a fraction of the markup, and nothing has to
//! be parsed where it is put in place.

/// Texts that changed: which of the texts between the tags it is, what it was, and what it is.
pub(super) type Texts = Vec<(usize, String, String)>;

/// The texts that changed; `None` when the tags are not the same, or a text came or went.
pub(super) fn changed(before: &str, now: &str) -> Option<Texts> {
    let (mut before, mut now) = (Pieces(before), Pieces(now));
    let mut texts = Texts::new();
    let mut index = 0;
    loop {
        match (before.next(), now.next()) {
            (None, None) => return Some(texts),
            (Some(old), Some(new)) if is_tag(old) || is_tag(new) => {
                if old != new {
                    return None;
                }
            }
            (Some(old), Some(new)) => {
                if old != new {
                    texts.push((index, plain(old)?, plain(new)?));
                }
                index += 1;
            }
            _ => return None,
        }
    }
}

/// The tags of some markup, and the texts between them that are not empty.
pub(super) struct Pieces<'h>(pub(super) &'h str);

impl<'h> Iterator for Pieces<'h> {
    type Item = &'h str;

    fn next(&mut self) -> Option<&'h str> {
        let end = if is_tag(self.0) {
            // No attribute holds the sign: it is escaped there.
            self.0.find('>').map(|at| at + 1)
        } else {
            self.0.find('<')
        };
        let (piece, rest) = self.0.split_at(end.unwrap_or(self.0.len()));
        self.0 = rest;
        (!piece.is_empty()).then_some(piece)
    }
}

pub(super) fn is_tag(piece: &str) -> bool {
    piece.starts_with('<')
}

/// A text as it is read; `None` for a name of a character that is not known here.
fn plain(text: &str) -> Option<String> {
    let mut pieces = text.split('&');
    let mut out = pieces.next()?.to_owned();
    for piece in pieces {
        let (name, rest) = piece.split_once(';')?;
        out.push(match name {
            "amp" => '&',
            "lt" => '<',
            "gt" => '>',
            "quot" => '"',
            "#39" => '\'',
            _ => return None,
        });
        out.push_str(rest);
    }
    // A browser reads every line ending as a line feed.
    if out.contains('\r') {
        out = out.replace("\r\n", "\n").replace('\r', "\n");
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(before: &str, now: &str, expected: Option<&[(usize, &str, &str)]>) {
        let expected = expected.map(|texts| {
            let owned =
                |(at, old, new): &(usize, &str, &str)| (*at, (*old).to_owned(), (*new).to_owned());
            texts.iter().map(owned).collect::<Texts>()
        });
        assert_eq!(changed(before, now), expected, "{before} {now}");
    }

    #[test]
    fn texts_are_counted_between_the_tags() {
        check(
            "<tr><td>Q</td><td></td><td>12</td> x<wbr/>y</tr>",
            "<tr><td>Q</td><td></td><td>15</td> z<wbr/>y</tr>",
            Some(&[(1, "12", "15"), (2, " x", " z")]),
        );
        check("<p>a</p>", "<p>a</p>", Some(&[]));
    }

    #[test]
    fn texts_are_told_as_they_are_read() {
        check(
            "<i>a &lt; b</i>",
            "<i>a &amp; b</i>",
            Some(&[(0, "a < b", "a & b")]),
        );
        check("<i>a</i>", "<i>b\r\nc</i>", Some(&[(0, "a", "b\nc")]));
        check("<i>a</i>", "<i>&nbsp;</i>", None);
    }

    #[test]
    fn other_tags_or_a_text_that_comes_or_goes_is_no_change_of_texts() {
        check("<i>a</i>", "<b>a</b>", None);
        check("<i id=\"x\">a</i>", "<i id=\"y\">a</i>", None);
        check("<i>a</i>", "<i></i>", None);
        check("<i></i>", "<i>a</i>", None);
        check("<i>a</i>", "<i>a</i> b", None);
    }
}
