//! The name that a refused line was to define.

use crate::syntax::{self, Name};
use crate::text::Span;

/// The name on the left of the first equals sign, also after `therefore`; `None` when the left
/// side is no single name.
pub fn name_to_define(text: &str, span: Span) -> Option<Name> {
    let (left, _) = span.of(text).split_once('=')?;
    let name = left.trim().trim_start_matches("therefore").trim();
    let name = name.rsplit_once(':').map_or(name, |(_, name)| name.trim());
    let is_name = name.chars().next().is_some_and(char::is_alphabetic)
        && name
            .chars()
            .all(|character| character.is_alphanumeric() || character == '_');
    let start = span.start as usize + left.trim_end().len() - name.len();
    is_name.then(|| Name {
        span: Span::new(start, start + name.len()),
        key: syntax::canonical(name),
    })
}

/// The same for a line of `given`, of which perhaps no more than the name is typed yet.
pub fn datum_to_define(text: &str, span: Span) -> Option<Name> {
    name_to_define(text, span).or_else(|| {
        let word = span.of(text).trim();
        let line = format!("{word} =");
        let name = name_to_define(&line, Span::new(0, line.len()))?;
        let start = span.start as usize + span.of(text).find(word)?;
        (name.span.len() == word.len()).then(|| Name {
            span: Span::new(start, start + word.len()),
            key: name.key,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str, expected: Option<&str>) {
        let found = name_to_define(line, Span::new(0, line.len()));
        assert_eq!(found.as_ref().map(|name| &*name.key), expected);
        if let Some(name) = found {
            assert_eq!(&*syntax::canonical(name.span.of(line)), &*name.key);
        }
    }

    #[test]
    fn a_datum_is_known_by_its_name_alone() {
        let found = |line: &str| datum_to_define(line, Span::new(0, line.len()));
        let name = found(" m_1 ").unwrap();
        assert_eq!((&*name.key, name.span), ("m_1", Span::new(1, 4)));
        assert!(found("m_1 2").is_none() && found("12").is_none() && found("").is_none());
    }

    #[test]
    fn a_single_name_on_the_left_is_found() {
        check("  V_1 = Q/(", Some("V_1"));
        check("therefore R_x = F/2", Some("R_x"));
        check("balance: D1 = x)", Some("D_1"));
        check("a + b = c)", None);
        check("no equals sign", None);
    }
}
