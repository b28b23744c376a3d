//! The tokens of a line: the one place that knows where a word begins and ends.
//!
//! In goes any text, out come its tokens in order, and what stands between them is blank; nothing
//! is refused. Names and numbers end where the grammar ends them, so that `πD` is two words and
//! `2m` a number and a word. Whether a word is a unit or a name, position and `resolve` decide.

use crate::text::Span;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TokenKind {
    /// `label:` in front of a statement, its colon included.
    Label,
    /// A name, a unit, or a word of the language.
    Word,
    /// A number without its sign, with its exponent.
    Number,
    /// Raised digits, as in `m⁻²`.
    Raised,
    /// A sign that is a unit: `%`, `‰`, `°`.
    UnitMark,
    /// `+`, `-`, `*`, `/`, `^` and their other forms.
    Operator,
    /// `=`, `<`, `<=`, `->` and their other forms.
    Relation,
    /// `(` or `[`.
    Open,
    /// `)` or `]`.
    Close,
    /// `|`.
    Bar,
    /// `,`.
    Comma,
    /// `?`.
    Ask,
    /// Any other sign: `±`, `∴`, a dot, a colon, or one that the language does not have.
    Sign,
    /// Letters that the language does not have.
    Strange,
    /// ` -- ` with what follows.
    Description,
    /// `# ` with what follows.
    Comment,
}

/// A part of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Token<'t> {
    /// What it is.
    pub kind: TokenKind,
    /// Where it begins in the text.
    pub at: usize,
    /// What is written.
    pub text: &'t str,
}

impl Token<'_> {
    /// Where it ends in the text.
    pub fn end(&self) -> usize {
        self.at + self.text.len()
    }

    /// Its place, when the text stands at `start`.
    pub fn place(&self, start: usize) -> Span {
        Span::new(start + self.at, start + self.end())
    }
}

/// The tokens of a statement, or of a part of one.
#[derive(Debug, Clone)]
pub struct Tokens<'t> {
    text: &'t str,
    at: usize,
}

/// The tokens of a statement, or of a part of one: no label, description or comment.
pub fn tokens(text: &str) -> Tokens<'_> {
    Tokens { text, at: 0 }
}

impl<'t> Iterator for Tokens<'t> {
    type Item = Token<'t>;

    fn next(&mut self) -> Option<Token<'t>> {
        let rest = self.text.get(self.at..)?;
        self.at += rest.len() - rest.trim_start().len();
        let rest = self.text.get(self.at..)?;
        let (kind, length) = first(rest)?;
        let token = Token {
            kind,
            at: self.at,
            text: rest.get(..length)?,
        };
        self.at = token.end();
        Some(token)
    }
}

/// The tokens of a source line with its label, and its description or comment.
pub fn of_line(line: &str) -> impl Iterator<Item = Token<'_>> {
    let end = tail(line).unwrap_or(line.len());
    let indent = line.len() - line.trim_start().len();
    let code = line.get(..end).unwrap_or("");
    let label = label(code.get(indent..).unwrap_or("")).map(|label| Token {
        kind: TokenKind::Label,
        at: indent,
        text: code.get(indent..=indent + label.len()).unwrap_or(""),
    });
    let tail = line.get(end..).filter(|tail| !tail.is_empty());
    let tail = tail.map(|tail| Token {
        kind: match tail.starts_with('#') {
            true => TokenKind::Comment,
            false => TokenKind::Description,
        },
        at: end,
        text: tail,
    });
    let at = label.map_or(0, |label| label.end());
    let statement = Tokens { text: code, at };
    label.into_iter().chain(statement).chain(tail)
}

/// Where the description or comment of a source line begins, with its mark: whichever comes
/// first, since a `#` inside a description is text.
pub fn tail(line: &str) -> Option<usize> {
    marked(line, &["#", "--", "—"])
}

/// Where the comment of a row of a table begins, which has no description.
pub fn comment(row: &str) -> Option<usize> {
    marked(row, &["#"])
}

fn marked(line: &str, marks: &[&str]) -> Option<usize> {
    let bytes = line.as_bytes();
    let is_blank = |at: usize| bytes.get(at).is_none_or(u8::is_ascii_whitespace);
    let mut quote_ends = 0;
    bytes.iter().enumerate().find_map(|(at, byte)| {
        if at >= quote_ends && *byte == b'"' {
            quote_ends = quote_end(line, at).unwrap_or(at);
        }
        if at < quote_ends {
            return None;
        }
        let mark = match byte {
            b'#' | b'-' | 0xE2 => tail_mark(line.get(at..)?)?,
            _ => return None,
        };
        if !marks.contains(&mark) {
            return None;
        }
        ((at == 0 || is_blank(at - 1)) && is_blank(at + mark.len())).then_some(at)
    })
}

/// Behind which place the words in quotes end that begin at a place; inches and feet have nothing in front of
/// which words could begin.
fn quote_end(line: &str, at: usize) -> Option<usize> {
    let before = line.as_bytes().get(..at)?.last();
    let is_opening = before.is_none_or(|byte| !byte.is_ascii_digit());
    let rest = line.get(at + 1..).filter(|_| is_opening)?;
    Some(at + 2 + rest.find('"')?)
}

/// The mark of a description or comment at the start of a text.
pub fn tail_mark(text: &str) -> Option<&'static str> {
    ["#", "--", "—"]
        .into_iter()
        .find(|mark| text.starts_with(mark))
}

/// The label in front of a statement, without its colon.
pub fn label(statement: &str) -> Option<&str> {
    let (label, after) = statement.split_once(':')?;
    (after.starts_with([' ', '\t']) && is_label(label)).then_some(label)
}

/// Whether a text can be a label.
pub fn is_label(text: &str) -> bool {
    !text.is_empty() && text.chars().all(is_label_part)
}

/// The words of a statement with their places.
pub fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    tokens(text)
        .filter(|token| matches!(token.kind, TokenKind::Word | TokenKind::Strange))
        .map(|token| (token.at, token.text))
}

/// The tokens of a statement that stand in no bracket; the brackets are none of them.
pub fn outside_brackets(text: &str) -> impl Iterator<Item = Token<'_>> {
    let mut depth = 0_usize;
    tokens(text).filter(move |token| {
        match token.kind {
            TokenKind::Open => depth += 1,
            TokenKind::Close => depth = depth.saturating_sub(1),
            _ => return depth == 0,
        }
        false
    })
}

/// The letters and digits that begin at `at`, perhaps none: what a message calls a word, also
/// where reading stopped in the middle of one, or where a number runs on in letters.
pub fn word_at(text: &str, at: usize) -> &str {
    let rest = text.get(at..).unwrap_or("");
    let end = rest.find(|letter: char| !is_word_part(letter));
    rest.get(..end.unwrap_or(rest.len())).unwrap_or("")
}

/// What is being typed at the end of a text: letters, digits and signs of units.
pub fn typed(text: &str) -> &str {
    let is_part = |letter: char| is_word_part(letter) || matches!(letter, '°' | '%');
    text.get(text.trim_end_matches(is_part).len()..)
        .unwrap_or("")
}

/// Whether a text is one word and nothing else.
pub fn is_word(text: &str) -> bool {
    tokens(text)
        .next()
        .is_some_and(|token| token.kind == TokenKind::Word && token.text.len() == text.len())
}

/// A word without the digits at its end, and these digits: `mm2` as `mm` and `2`.
pub fn digits_apart(word: &str) -> (&str, &str) {
    let letters = word.trim_end_matches(|letter: char| letter.is_ascii_digit());
    word.split_at(letters.len())
}

// ---- what a text begins with ------------------------------------------------------------------

fn first(rest: &str) -> Option<(TokenKind, usize)> {
    let first = rest.chars().next()?;
    let sign = |kind| Some((kind, first.len_utf8()));
    match first {
        'a'..='z' | 'A'..='Z' => Some((TokenKind::Word, word(rest, first))),
        '0'..='9' => Some((TokenKind::Number, number(rest))),
        '.' if number(rest) > 0 => Some((TokenKind::Number, number(rest))),
        '=' => sign(TokenKind::Relation),
        '<' | '>' => Some((
            TokenKind::Relation,
            1 + usize::from(rest[1..].starts_with('=')),
        )),
        '-' if rest.starts_with("->") => Some((TokenKind::Relation, 2)),
        '+' | '-' | '*' | '/' | '^' => sign(TokenKind::Operator),
        '(' | '[' => sign(TokenKind::Open),
        ')' | ']' => sign(TokenKind::Close),
        ',' => sign(TokenKind::Comma),
        '?' => sign(TokenKind::Ask),
        '|' => sign(TokenKind::Bar),
        '%' | '‰' => sign(TokenKind::UnitMark),
        '≤' | '≥' | '→' => sign(TokenKind::Relation),
        '−' | '·' | '×' | '⋅' => sign(TokenKind::Operator),
        '⁻' | '⁰' | '¹' | '²' | '³' | '⁴'..='⁹' => {
            Some((TokenKind::Raised, run(rest, is_raised)))
        }
        _ => match word(rest, first) {
            0 if first == '°' => sign(TokenKind::UnitMark),
            0 if is_word_part(first) => Some((TokenKind::Strange, run(rest, is_word_part))),
            0 => sign(TokenKind::Sign),
            length => Some((TokenKind::Word, length)),
        },
    }
}

/// The length of the number that a text begins with, perhaps 0.
fn number(text: &str) -> usize {
    let is_digit = |letter: char| letter.is_ascii_digit();
    let whole = run(text, is_digit);
    let part = match text[whole..].strip_prefix('.') {
        Some(rest) => 1 + run(rest, is_digit),
        None => 0,
    };
    if whole == 0 && part <= 1 {
        return 0;
    }
    let mantissa = whole + part;
    let exponent = text[mantissa..].strip_prefix(['e', 'E']).map(|rest| {
        let sign = usize::from(rest.starts_with(['+', '-']));
        (1 + sign, run(&rest[sign..], is_digit))
    });
    match exponent {
        Some((mark, digits)) if digits > 0 => mantissa + mark + digits,
        _ => mantissa,
    }
}

/// The length of the word that a text begins with, perhaps 0; `first` is its first letter. A `_`
/// is part of the word also before its subscript is typed.
fn word(text: &str, first: char) -> usize {
    let rest = &text[first.len_utf8()..];
    let base = match first {
        'Δ' => match rest.chars().next() {
            Some(next) if is_latin(next) => latin_rest(rest),
            Some(next) if is_greek(next) => next.len_utf8() + greek_rest(&rest[next.len_utf8()..]),
            _ => greek_rest(rest),
        },
        '\u{b5}' | 'μ' if rest.starts_with(is_latin) => run(rest, is_latin),
        _ if is_greek(first) => greek_rest(rest),
        _ if is_latin(first) || first == '\u{2126}' => latin_rest(rest),
        '°' if is_temperature(rest) => 1,
        _ => return 0,
    };
    let mut length = first.len_utf8() + base;
    while text[length..].starts_with('_') {
        length += 1 + run(&text[length + 1..], is_subscript_part);
    }
    length
}

/// `C` or `F` after a degree sign, and no further letter.
fn is_temperature(text: &str) -> bool {
    let after = text.strip_prefix(['C', 'F']);
    let goes_on = |letter: char| is_subscript_part(letter) || letter == '_';
    after.is_some_and(|after| !after.starts_with(goes_on))
}

fn latin_rest(text: &str) -> usize {
    let is_ohm = |letter: char| matches!(letter, 'Ω' | '\u{2126}');
    run(text, |letter| {
        letter.is_ascii_digit() || is_latin(letter) || is_ohm(letter)
    })
}

/// What stands over a Greek letter, and the digits after it.
fn greek_rest(text: &str) -> usize {
    let over = ["dot", "bar", "hat", "vec"];
    let over = over.iter().find(|over| text.starts_with(**over));
    let over = over.map_or(0, |over| over.len());
    over + run(&text[over..], |letter| letter.is_ascii_digit())
}

/// The length of what a text begins with and is `part` of one thing.
fn run(text: &str, part: impl Fn(char) -> bool) -> usize {
    text.find(|letter| !part(letter)).unwrap_or(text.len())
}

// ---- letters, as in `grammar/worksheet.pest` --------------------------------------------------

fn is_latin(letter: char) -> bool {
    letter.is_ascii_alphabetic()
        || matches!(letter, '\u{c0}'..='\u{d6}' | '\u{d8}'..='\u{f6}' | '\u{f8}'..='\u{24f}')
}

fn is_greek(letter: char) -> bool {
    matches!(
        letter,
        '\u{391}'
            ..='\u{3c9}' | '\u{3d1}' | '\u{3d5}' | '\u{3d6}' | '\u{3f1}' | '\u{3f5}' | '\u{b5}'
    )
}

fn is_subscript_part(letter: char) -> bool {
    letter.is_ascii_digit() || is_latin(letter) || is_greek(letter)
}

fn is_raised(letter: char) -> bool {
    matches!(letter, '⁻' | '⁰' | '¹' | '²' | '³' | '⁴'..='⁹')
}

fn is_word_part(letter: char) -> bool {
    letter.is_alphanumeric() || letter == '_'
}

fn is_label_part(letter: char) -> bool {
    letter.is_ascii_alphanumeric() || matches!(letter, '_' | '-') || !letter.is_ascii()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::{Expr, ExprKind, parse_expr};
    use proptest::prelude::*;

    fn written(line: &str) -> String {
        let parts: Vec<&str> = of_line(line).map(|token| token.text).collect();
        parts.join("|")
    }

    #[test]
    fn words_and_numbers_end_where_the_grammar_ends_them() {
        for (line, parts) in [
            ("πD", "π|D"),
            ("Δp + ΔT_1", "Δp|+|ΔT_1"),
            ("2m", "2|m"),
            ("1.5e-3µm", "1.5e-3|µm"),
            ("2e", "2|e"),
            ("V.x", "V|.|x"),
            ("x2y_max_2", "x2y_max_2"),
            ("kΩ m⁻²", "kΩ|m|⁻²"),
            ("20 °C + 5° + 3 %", "20|°C|+|5|°|+|3|%"),
            ("ωdot2 αx", "ωdot2|α|x"),
            ("3°Ce", "3|°|Ce"),
            ("y -> 0 as x <= 2", "y|->|0|as|x|<=|2"),
            ("T_ = жук", "T_|=|жук"),
        ] {
            assert_eq!(written(line), parts, "{line}");
        }
    }

    #[test]
    fn a_line_has_a_label_and_a_tail() {
        assert_eq!(written(" my-law: a = b -- of #4"), "my-law:|a|=|b|-- of #4");
        assert_eq!(written("a = 1 # note — x"), "a|=|1|# note — x");
        assert_eq!(written("a = b--c"), "a|=|b|-|-|c");
        assert_eq!(written("a:b"), "a|:|b");
        assert_eq!(written("# a: b"), "# a: b");
        let tailed = |line: &'static str| tail(line).map(|at| &line[at..]);
        assert_eq!(tailed("a = column \"b # c\" -- d \"e"), Some("-- d \"e"));
        assert_eq!(tailed("no reading \"--\", \"#\" # \"e\""), Some("# \"e\""));
        assert_eq!(
            tailed("h = 5' 3\" -- \"low\" door"),
            Some("-- \"low\" door")
        );
        assert_eq!(tailed("a = \"b # c"), Some("# c"));
    }

    #[test]
    fn what_is_typed_is_the_last_word() {
        assert_eq!(typed("x = 3 kg"), "kg");
        assert_eq!(typed("x = 3 "), "");
        assert_eq!(typed("T = 20 °"), "°");
        assert_eq!(digits_apart("mm2"), ("mm", "2"));
        assert!(is_word("V_1") && !is_word("V_1 ") && !is_word("2m") && !is_word(""));
    }

    /// The places of the names and numbers of a formula.
    fn named(expr: &Expr, places: &mut Vec<Span>) {
        match &expr.kind {
            ExprKind::Name(name) | ExprKind::Call { name, .. } => places.push(name.span),
            ExprKind::Number(number) => places.push(number.span),
            _ => {}
        }
        expr.for_each_part(&mut |part| named(part, places));
    }

    /// Names and signs in any order, glued or not.
    fn formulas() -> impl Strategy<Value = String> {
        let parts = "[a-eΔπµωéx_12.]{1,4}|dot|bar|°C|e-3|[ +*/²]|\\^|\\(|\\)";
        proptest::collection::vec(parts, 1..8).prop_map(|parts| parts.concat())
    }

    proptest! {
        #[test]
        fn every_byte_is_in_one_token_or_blank(line in "\\PC{0,40}|[-a-z#—:.0-9 \t+^²°%Δ]{0,40}") {
            let mut end = 0;
            for token in of_line(&line) {
                let between = line.get(end..token.at);
                prop_assert!(between.is_some_and(|blank| blank.trim().is_empty()), "{:?}", token);
                prop_assert!(!token.text.is_empty());
                prop_assert_eq!(line.get(token.at..token.end()), Some(token.text));
                end = token.end();
            }
            prop_assert!(line[end..].trim().is_empty());
        }

        #[test]
        fn names_and_numbers_of_a_formula_are_tokens(text in formulas()) {
            let all = Span::new(0, text.len());
            if let Ok(expr) = parse_expr(&text, all) {
                let mut places = Vec::new();
                named(&expr, &mut places);
                let found: Vec<Span> = tokens(&text).map(|token| token.place(0)).collect();
                for place in places {
                    prop_assert!(found.contains(&place), "{}: {}", text, place.of(&text));
                }
            }
        }
    }
}
