//! Characters that an author may write, as LaTeX has them.

use std::fmt::Write;

use crate::text::lowered;

/// Greek letters and signs with a command in mathematical mode. The letters that look like Latin
/// ones have none, and capitals are italic as every quantity is.
const SYMBOLS: &[(char, &str)] = &[
    ('Α', "A"),
    ('Β', "B"),
    ('Γ', "\\varGamma"),
    ('Δ', "\\varDelta"),
    ('Ε', "E"),
    ('Ζ', "Z"),
    ('Η', "H"),
    ('Θ', "\\varTheta"),
    ('Ι', "I"),
    ('Κ', "K"),
    ('Λ', "\\varLambda"),
    ('Μ', "M"),
    ('Ν', "N"),
    ('Ξ', "\\varXi"),
    ('Ο', "O"),
    ('Π', "\\varPi"),
    ('Ρ', "P"),
    ('Σ', "\\varSigma"),
    ('Τ', "T"),
    ('Υ', "\\varUpsilon"),
    ('Φ', "\\varPhi"),
    ('Χ', "X"),
    ('Ψ', "\\varPsi"),
    ('Ω', "\\varOmega"),
    ('\u{2126}', "\\varOmega"),
    ('α', "\\alpha"),
    ('β', "\\beta"),
    ('γ', "\\gamma"),
    ('δ', "\\delta"),
    ('ε', "\\varepsilon"),
    ('ϵ', "\\epsilon"),
    ('ζ', "\\zeta"),
    ('η', "\\eta"),
    ('θ', "\\theta"),
    ('ϑ', "\\vartheta"),
    ('ι', "\\iota"),
    ('κ', "\\kappa"),
    ('λ', "\\lambda"),
    ('μ', "\\mu"),
    ('µ', "\\mu"),
    ('ν', "\\nu"),
    ('ξ', "\\xi"),
    ('ο', "o"),
    ('π', "\\pi"),
    ('ϖ', "\\varpi"),
    ('ρ', "\\rho"),
    ('ϱ', "\\varrho"),
    ('ς', "\\varsigma"),
    ('σ', "\\sigma"),
    ('τ', "\\tau"),
    ('υ', "\\upsilon"),
    ('φ', "\\varphi"),
    ('ϕ', "\\phi"),
    ('χ', "\\chi"),
    ('ψ', "\\psi"),
    ('ω', "\\omega"),
    ('−', "-"),
    ('×', "\\times"),
    ('÷', "\\div"),
    ('·', "\\cdot"),
    ('⋅', "\\cdot"),
    ('±', "\\pm"),
    ('∓', "\\mp"),
    ('≤', "\\le"),
    ('≥', "\\ge"),
    ('≠', "\\ne"),
    ('≈', "\\approx"),
    ('≡', "\\equiv"),
    ('∼', "\\sim"),
    ('∝', "\\propto"),
    ('→', "\\to"),
    ('←', "\\gets"),
    ('↔', "\\leftrightarrow"),
    ('⇒', "\\Rightarrow"),
    ('∞', "\\infty"),
    ('∂', "\\partial"),
    ('∑', "\\sum"),
    ('∫', "\\int"),
    ('√', "\\surd"),
    ('∠', "\\angle"),
    ('∥', "\\parallel"),
    ('⊥', "\\perp"),
    ('∈', "\\in"),
    ('∴', "\\therefore"),
    ('✓', "\\checkmark"),
    ('✗', "\\times"),
    ('⌊', "\\lfloor"),
    ('⌋', "\\rfloor"),
    ('⌈', "\\lceil"),
    ('⌉', "\\rceil"),
    ('°', "{^{\\circ}}"),
    ('′', "{^{\\prime}}"),
    ('″', "{^{\\prime\\prime}}"),
];

fn symbol(character: char) -> Option<&'static str> {
    let found = SYMBOLS.iter().find(|(known, _)| *known == character);
    found.map(|(_, symbol)| *symbol)
}

/// Appends a command, parted from a letter behind it.
pub(super) fn command(command: &str, out: &mut String) {
    out.push_str(command);
    if command.ends_with(|last: char| last.is_ascii_alphabetic()) {
        out.push(' ');
    }
}

/// Appends a character in mathematical mode. A letter that mathematics has no command for is taken
/// from the text's italics, anything else from the text.
pub(super) fn character(character: char, out: &mut String) {
    match character {
        'a'..='z' | 'A'..='Z' | '0'..='9' => out.push(character),
        '.' | ',' | '+' | '-' | '=' | '(' | ')' | '/' | '<' | '>' | ';' | ':' => {
            out.push(character);
        }
        // After the end of a row a bracket would be taken for an argument.
        '[' => command("\\lbrack", out),
        ']' => command("\\rbrack", out),
        '|' => command("\\vert", out),
        ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}' => out.push_str("\\,"),
        _ => match symbol(character) {
            Some(symbol) => command(symbol, out),
            None => {
                let italic = character.is_alphabetic();
                out.push_str(if italic { "\\textit{" } else { "\\text{" });
                escape(character.encode_utf8(&mut [0; 4]), out);
                out.push('}');
            }
        },
    }
}

/// Appends the text of a unit, inside of upright letters: `kg·m²/s`, `m^(1/2)`, `°C`.
pub(super) fn unit(text: &str, out: &mut String) {
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let taken = script(rest, '^', lowered, out)
            .or_else(|| script(rest, '_', raised, out))
            .or_else(|| power(rest, out));
        if let Some(length) = taken {
            rest = rest.get(length..).unwrap_or("");
            continue;
        }
        match first {
            'µ' | 'μ' => out.push_str("\\text{\\textmu}"),
            'Ω' | '\u{2126}' => out.push_str("\\Omega "),
            '·' | '⋅' => out.push_str("{\\cdot}"),
            '%' => out.push_str("\\%"),
            letter if letter.is_alphabetic() && !letter.is_ascii() && symbol(letter).is_none() => {
                out.push_str("\\text{");
                escape(letter.encode_utf8(&mut [0; 4]), out);
                out.push('}');
            }
            other => character(other, out),
        }
        rest = rest.get(first.len_utf8()..).unwrap_or("");
    }
}

/// Appends the small characters at the start of a unit's text as one script; tells how long they
/// were.
fn script(
    text: &str,
    mark: char,
    plain: impl Fn(char) -> Option<char>,
    out: &mut String,
) -> Option<usize> {
    let small = |character: &char| plain(*character).is_some();
    let length = text.chars().take_while(small).map(char::len_utf8).sum();
    if length == 0 {
        return None;
    }
    out.extend([mark, '{']);
    out.extend(text.chars().map_while(plain));
    out.push('}');
    Some(length)
}

/// Appends a typed power `^(1/2)`; tells how long it was.
fn power(text: &str, out: &mut String) -> Option<usize> {
    let inside = text.strip_prefix("^(")?;
    let (exponent, _) = inside.split_once(')')?;
    out.push_str("^{");
    exponent.chars().for_each(|it| character(it, out));
    out.push('}');
    Some("^()".len() + exponent.len())
}

/// The letter or digit that is set below the line here.
fn raised(small: char) -> Option<char> {
    match small {
        '₀'..='₉' => char::from_digit(small as u32 - '₀' as u32, 10),
        'ₜ' => Some('t'),
        'ₕ' => Some('h'),
        _ => None,
    }
}

/// Appends text for text mode. Every character with a meaning for TeX is escaped, signs and Greek
/// letters are taken from mathematics, and line ends become spaces, so that no paragraph ends
/// inside of an argument. Control characters become question marks, and characters that are not in
/// every engine's fonts their number: `[U+1F600]`.
pub fn escape(text: &str, out: &mut String) {
    let mut before = ' ';
    for character in text.chars() {
        // Two of these would run together into another sign.
        if "-'`,?!".contains(before) && "-'`,".contains(character) {
            out.push_str("{}");
        }
        before = character;
        match text_command(character) {
            Some(command) => out.push_str(command),
            None => plain(character, out),
        }
    }
}

/// What a character with a meaning for TeX, or a space, is in text.
fn text_command(character: char) -> Option<&'static str> {
    Some(match character {
        '\\' => "\\textbackslash{}",
        '{' => "\\{",
        '}' => "\\}",
        '$' => "\\$",
        '&' => "\\&",
        '#' => "\\#",
        '%' => "\\%",
        '_' => "\\_",
        '~' => "\\textasciitilde{}",
        '^' => "\\textasciicircum{}",
        '<' => "\\textless{}",
        '>' => "\\textgreater{}",
        '|' => "\\textbar{}",
        // Beside a command they would be taken for its arguments.
        '[' => "{[}",
        ']' => "{]}",
        '*' => "{*}",
        '\n' | '\r' | '\t' => " ",
        '\u{a0}' => "~",
        '\u{2009}' | '\u{202f}' => "\\,",
        '\u{2002}' => "\\enspace{}",
        '\u{2060}' | '\u{200b}' | '\u{feff}' => "",
        'µ' => "\\textmu{}",
        '°' => "\\textdegree{}",
        _ => return None,
    })
}

/// The letters and signs that are in the fonts of every engine, measured with `pdflatex` (T1) and
/// `lualatex`, both with Latin Modern.
fn is_in_fonts(character: char) -> bool {
    matches!(
        character,
        '\u{a1}'..='\u{ac}'
            | '\u{ae}'..='\u{af}'
            | '\u{b1}'..='\u{b4}'
            | '\u{b6}'..='\u{125}'
            | '\u{128}'..='\u{131}'
            | '\u{134}'..='\u{137}'
            | '\u{139}'..='\u{13e}'
            | '\u{141}'..='\u{148}'
            | '\u{14a}'..='\u{15c}'
            | '\u{15e}'..='\u{165}'
            | '\u{168}'..='\u{17e}'
            | '\u{2010}'..='\u{2016}'
            | '\u{2018}'..='\u{201a}'
            | '\u{201c}'..='\u{201e}'
            | '\u{2020}'..='\u{2022}'
            | '\u{2026}'
            | '\u{2030}'
            | '\u{2039}'..='\u{203b}'
            | '\u{2044}'
            | '\u{20ac}'
            | '\u{2103}'
            | '\u{2116}'..='\u{2117}'
            | '\u{2190}'..='\u{2193}'
    )
}

fn plain(character: char, out: &mut String) {
    if let Some(symbol) = symbol(character) {
        out.push_str("\\ensuremath{");
        out.push_str(symbol);
        out.push('}');
    } else if let Some(digit) = lowered(character) {
        out.extend(["\\textsuperscript{", digit.encode_utf8(&mut [0; 4]), "}"]);
    } else if let Some(letter) = raised(character) {
        out.extend(["\\textsubscript{", letter.encode_utf8(&mut [0; 4]), "}"]);
    } else if character.is_ascii() || is_in_fonts(character) {
        out.push(if character.is_control() {
            '?'
        } else {
            character
        });
    } else {
        // Writing to a string cannot fail.
        let _ = write!(out, "{{[}}U+{:04X}{{]}}\\allowbreak{{}}", character as u32);
    }
}
