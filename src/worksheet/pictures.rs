//! Pictures of a problem: what prose calls them, what their titles say, and their bytes.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::model::Anchor;
use crate::diagnostic::{Code, Diagnostic, nearest_file};
use crate::document::{Hole, Image, Piece, Width};
use crate::pictures::{self, MOST_BYTES, Refusal};
use crate::syntax;
use crate::text::{Reader, Span, Unread, coding, too_long};

/// The widest that a picture may be asked to be, in millimetres.
const WIDEST: f64 = 1000.0;

/// What follows these words at the end of a title is the width.
const WIDTH: &str = "(width";

/// A picture that is a figure, in the order of the page.
#[derive(Debug)]
pub(super) struct PictureFigure {
    /// What prose calls it, where its file has a name that is a label.
    pub label: Option<String>,
    pub anchor: Anchor,
}

/// The addresses that hold the bytes of pictures, by where these are; none where there is no
/// picture.
pub(super) type Sources = FxHashMap<String, Option<Arc<str>>>;

/// The figures among some pieces.
pub(super) fn figures<'p>(
    pieces: impl Iterator<Item = &'p Piece>,
    is_shared: bool,
) -> Vec<PictureFigure> {
    let mut found = Vec::new();
    for piece in pieces {
        piece.for_each_open(&mut |hole| {
            if let Hole::Picture {
                image,
                is_alone: true,
                ..
            } = hole
                && !caption(&image.title).is_empty()
            {
                let number = found.len() + 1;
                // A name is that of the first that has it.
                let is_first = |label: &String| {
                    let mut labels = found.iter().map(|it: &PictureFigure| &it.label);
                    labels.all(|other| other.as_ref() != Some(label))
                };
                found.push(PictureFigure {
                    label: label(&image.url).filter(is_first),
                    anchor: Anchor {
                        is_shared,
                        name: format!("picture-{number}"),
                    },
                });
            }
        });
    }
    found
}

/// The name of a file without its ending, if it is a label.
fn label(url: &str) -> Option<String> {
    let path = path(url)?;
    let name = path.rsplit('/').next()?;
    let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
    // Prose refers to labels that begin with a letter.
    let is_label =
        syntax::tokens::is_label(stem) && stem.starts_with(|it: char| it.is_alphabetic());
    is_label.then(|| stem.to_owned())
}

/// The words of a title without the width at its end.
pub(super) fn caption(title: &str) -> &str {
    split(title).0
}

/// The width at the end of a title, if it is one.
pub(super) fn width(title: &str) -> Option<Width> {
    split(title).1.and_then(width_of)
}

/// A title, and what stands behind "width" in the brackets at its end.
fn split(title: &str) -> (&str, Option<&str>) {
    let title = title.trim();
    let whole = (title, None);
    let Some(at) = title.rfind(WIDTH) else {
        return whole;
    };
    let (before, rest) = title.split_at(at);
    let inner = rest
        .strip_prefix(WIDTH)
        .and_then(|rest| rest.strip_suffix(')'));
    match inner {
        Some(inner) if !inner.contains([')', '(']) && inner.starts_with(char::is_whitespace) => {
            (before.trim_end(), Some(inner.trim()))
        }
        _ => whole,
    }
}

/// `60 mm`, `6 cm`, `2.5 in`, `50 %`
fn width_of(words: &str) -> Option<Width> {
    let is_digit = |letter: char| letter.is_ascii_digit() || letter == '.';
    let end = words.find(|letter| !is_digit(letter))?;
    let (number, unit) = words.split_at(end);
    let number: f64 = number.parse().ok().filter(|number| *number > 0.0)?;
    let millimetres = |each: f64| {
        let width = number * each;
        (width <= WIDEST).then_some(Width::Millimetres(width))
    };
    match unit.trim_start() {
        "mm" => millimetres(1.0),
        "cm" => millimetres(10.0),
        "in" => millimetres(25.4),
        "%" => (number <= 100.0).then_some(Width::Part(number / 100.0)),
        _ => None,
    }
}

/// Reads pictures: their bytes, and what is wrong with each.
pub(super) fn read(
    text: &str,
    pictures: &[(Image, Span)],
    reader: &Reader<'_>,
) -> (Sources, Vec<Diagnostic>) {
    let mut read: FxHashMap<&str, Read> = FxHashMap::default();
    let mut found = Vec::new();
    for (image, span) in pictures {
        if let (_, Some(words)) = split(&image.title)
            && width_of(words).is_none()
        {
            found.push(no_width(text, *span, words));
        }
        let read = read.entry(&image.url);
        let read = read.or_insert_with(|| one(&image.url, reader));
        found.extend(read.told.iter().map(|told| told.at(*span)));
    }
    let sources = read.into_iter();
    let sources = sources.map(|(url, read)| (url.to_owned(), read.source));
    (sources.collect(), found)
}

fn no_width(text: &str, picture: Span, words: &str) -> Diagnostic {
    let at = picture.of(text).rfind(WIDTH);
    let place = at.map_or(picture, |at| {
        let start = picture.start as usize + at;
        let rest = text.get(start..picture.end as usize).unwrap_or_default();
        let length = rest.find(')').map_or(rest.len(), |end| end + 1);
        Span::new(start, start + length)
    });
    Diagnostic::error(
        Code::M13,
        place,
        format!("`{words}` is no width of a picture"),
    )
    .with_help(
        "`(width 60 mm)`, or in `cm`, `in` or `%` of the lines of text; up to 1000 mm, and to 100 %",
    )
}

/// A picture that was read.
struct Read {
    source: Option<Arc<str>>,
    told: Option<Told>,
}

/// What is said of a picture wherever it stands.
struct Told {
    code: Code,
    message: String,
    help: String,
}

impl Told {
    fn at(&self, span: Span) -> Diagnostic {
        let told = match self.code {
            Code::M14 => Diagnostic::warning,
            _ => Diagnostic::error,
        };
        told(self.code, span, self.message.as_str()).with_help(self.help.as_str())
    }
}

fn one(url: &str, reader: &Reader<'_>) -> Read {
    // What is written out in the link needs no file.
    if url.starts_with("data:") {
        return Read {
            source: Some(url.into()),
            told: None,
        };
    }
    let refused = |code: Code, message: String, help: String| Read {
        source: None,
        told: Some(Told {
            code,
            message,
            help,
        }),
    };
    let Some(path) = path(url) else {
        let message = format!("`{url}` is no file in the folder of the worksheet or below it");
        return refused(
            Code::M11,
            message,
            "a copy of the picture beside the worksheet, by its path from there: `bend.svg`"
                .to_owned(),
        );
    };
    let contents = reader.read(&path);
    let bytes = match &*contents {
        Ok((bytes, _)) => bytes,
        Err(Unread::TooLong(_)) => return too_large(&path),
        Err(why) => {
            let message = format!("`{path}`: {}", why.reason());
            return refused(Code::M11, message, not_there(&path, reader));
        }
    };
    match pictures::picture(bytes) {
        Ok(picture) => Read {
            source: Some(picture.address.into()),
            told: (!picture.left_out.is_empty()).then(|| Told {
                code: Code::M14,
                message: format!(
                    "`{path}` is shown without what runs or leads elsewhere: {}",
                    picture.left_out.join(", ")
                ),
                help: "a drawing saved as plain SVG, without scripts and links".to_owned(),
            }),
        },
        Err(Refusal::TooLarge) => too_large(&path),
        Err(Refusal::NoPicture) => refused(
            Code::M12,
            format!("`{path}` is no picture that a page can show, by its first bytes"),
            format!("a picture saved as {}", pictures::KINDS),
        ),
        Err(Refusal::Drawing(why)) => refused(
            Code::M12,
            format!("the drawing `{path}` cannot be shown: {why}"),
            "the drawing saved as plain SVG, or as PNG".to_owned(),
        ),
    }
}

fn too_large(path: &str) -> Read {
    Read {
        source: None,
        told: Some(Told {
            code: Code::M12,
            message: format!("`{path}`: {}", too_long("picture", MOST_BYTES)),
            help: "a smaller copy: 2000 pixels are enough for the width of a page".to_owned(),
        }),
    }
}

/// What to write for a file that is not there.
fn not_there(path: &str, reader: &Reader<'_>) -> String {
    match nearest_file(path, reader).as_slice() {
        [near] => format!("`{near}`, if that is meant"),
        _ => "the picture beside the worksheet, by its path from there; a link that leads out of \
              the folder is not followed"
            .to_owned(),
    }
}

/// The path of a file in the worksheet's folder, as a browser would read the address; nothing
/// where it leads out of the folder.
fn path(url: &str) -> Option<String> {
    let address = url.split(['?', '#']).next()?;
    // What is not written as addresses are is a path as it stands.
    let address = coding::decoded(address).unwrap_or_else(|| address.to_owned());
    if address.starts_with(['/', '\\']) {
        return None;
    }
    let mut names = Vec::new();
    for name in address.split('/') {
        match name {
            "" | "." => {}
            ".." => {
                names.pop()?;
            }
            name => names.push(name),
        }
    }
    (!names.is_empty()).then(|| names.join("/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_width_stands_at_the_end_of_a_title() {
        for (title, words, wide) in [
            (
                "The bend (width 60 mm)",
                "The bend",
                Some(Width::Millimetres(60.0)),
            ),
            (
                "The bend (width 6cm) ",
                "The bend",
                Some(Width::Millimetres(60.0)),
            ),
            ("(width 2.5 in)", "", Some(Width::Millimetres(63.5))),
            ("A (b) (width 50 %)", "A (b)", Some(Width::Part(0.5))),
            ("A (width 0 mm)", "A", None),
            ("A (width 1001 mm)", "A", None),
            ("A (width 101 %)", "A", None),
            ("A (width 60)", "A", None),
            ("A (width -6 cm)", "A", None),
            ("A (width 1e9999 mm)", "A", None),
            ("A (width)", "A (width)", None),
            ("A (width 6 mm) more", "A (width 6 mm) more", None),
            ("A (widths 6 mm)", "A (widths 6 mm)", None),
            ("é", "é", None),
        ] {
            assert_eq!(caption(title), words, "{title}");
            assert_eq!(width(title), wide, "{title}");
        }
    }

    #[test]
    fn paths_stay_in_the_folder() {
        for (url, wanted) in [
            ("bend.svg", "bend.svg"),
            ("./img//a%20b.png?x#y", "img/a b.png"),
            ("img/../bend.svg", "bend.svg"),
            ("100%.png", "100%.png"),
            ("%C3%A9.png", "é.png"),
            ("%ff%+1.png", "%ff%+1.png"),
        ] {
            assert_eq!(path(url).as_deref(), Some(wanted), "{url}");
        }
        for url in [
            "",
            ".",
            "../a.png",
            "a/../../b.png",
            "/etc/a.png",
            "%2e%2e/a.png",
            "\\a",
        ] {
            assert_eq!(path(url), None, "{url}");
        }
    }

    #[test]
    fn a_file_is_called_by_its_name_without_its_ending() {
        for (url, wanted) in [
            ("img/bend.svg", Some("bend")),
            ("bend-2_a.min.png", None),
            ("bend-2_a.png", Some("bend-2_a")),
            ("2.png", None),
            ("a%20b.png", None),
            ("data:image/png;base64,AA", None),
        ] {
            assert_eq!(label(url).as_deref(), wanted, "{url}");
        }
    }
}
