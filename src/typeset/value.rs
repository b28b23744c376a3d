//! Values as they are printed: digits, unit, uncertainty and datum word, in formulas, in running
//! text and as plain text.

use super::number::{read, rounded};
use super::tree::{Kind, Node, Number, Quantity, Space, unit_clings};
use crate::quantity::{Decimal, Unit, estimate_layout, estimate_text, raised, to_figures};
use crate::resolve::{Shape, SizeForm};
use crate::worksheet::{Coverage, Shown, SizeShown, Spread, TermShown, list_parts};

const PLUS_OR_MINUS: Node = Node::Operator("±", Kind::Infix { breaks: false });

/// A value in running text: `3.006 m/s`, `(50.02 ± 0.04) mm`, `420 kPa gauge`.
pub fn value(shown: &Shown) -> Node {
    let mut parts = Vec::with_capacity(4);
    sized(shown, &mut parts);
    parts.extend(word(shown).into_iter().flatten());
    coverage(shown, &mut parts);
    parts.extend(second_order(shown).into_iter().flatten());
    Node::Words(parts)
}

/// The word of a value's datum after its space.
pub(super) fn word(shown: &Shown) -> Option<[Node; 2]> {
    Some([Node::Space(Space::Tie), Node::Text(shown.word?.into())])
}

/// What is said of an uncertainty that has no terms of first order.
const SECOND_ORDER: &str = "(second order)";

/// What the uncertainties of a value were multiplied by, with a blank before it; nothing where they
/// are standard uncertainties.
pub fn factor(shown: &Shown) -> Option<Node> {
    let mut parts = Vec::new();
    coverage(shown, &mut parts);
    (!parts.is_empty()).then_some(Node::Words(parts))
}

/// `(k = 1.96, 95 %)`, `(coverage factor 2)`
fn coverage(shown: &Shown, parts: &mut Vec<Node>) {
    let Some(coverage) = &shown.coverage else {
        return;
    };
    parts.extend([Node::Space(Space::Word), Node::OPEN]);
    let (least, most) = factors(coverage);
    match coverage.in_words {
        true => parts.extend([
            Node::Text("coverage factor".into()),
            Node::Space(Space::Tie),
            Node::Number(read(&least)),
        ]),
        false => parts.extend([
            Node::Letter('k'),
            Node::Operator("=", Kind::Relation),
            Node::Number(read(&least)),
        ]),
    }
    if least != most {
        parts.extend([Node::Text(" to ".into()), Node::Number(read(&most))]);
    }
    if let Some(level) = coverage.level {
        parts.push(Node::Text(format!(", {} %", percent(level)).into()));
    }
    parts.push(Node::CLOSE);
}

/// The least and the largest factor, to three figures.
fn factors(coverage: &Coverage) -> (String, String) {
    let text = |factor: f64| match factor.fract() == 0.0 && factor < 1000.0 {
        true => format!("{factor}"),
        false => to_figures(factor, 3).text(),
    };
    (text(coverage.factors.0), text(coverage.factors.1))
}

fn percent(level: f64) -> String {
    format!("{}", (level * 1e8).round() / 1e6)
}

fn coverage_text(coverage: &Coverage) -> String {
    let (least, most) = factors(coverage);
    let mut text = match coverage.in_words {
        true => format!("coverage factor {least}"),
        false => format!("k = {least}"),
    };
    if least != most {
        text.push_str(&format!(" to {most}"));
    }
    if let Some(level) = coverage.level {
        text.push_str(&format!(", {} %", percent(level)));
    }
    format!(" ({text})")
}

fn second_order(shown: &Shown) -> Option<[Node; 2]> {
    let words = [Node::Space(Space::Word), Node::Text(SECOND_ORDER.into())];
    is_second_order(shown).then_some(words)
}

fn is_second_order(shown: &Shown) -> bool {
    (shown.uncertainties.iter().flatten()).any(|spread| spread.is_second_order)
}

/// A number with its unit and what the author wrote of its uncertainty: `(50.02 ± 0.04) mm (k = 2)`,
/// `50.02(4) mm`, `24.86 mL ± 0.5 % ± 0.02 mL (rectangular)`.
fn sized(shown: &Shown, parts: &mut Vec<Node>) {
    let mut sizes = shown.sizes.as_slice();
    match sizes.split_first() {
        Some((first, rest)) if first.shares_unit() && shown.shape == Shape::One => {
            let number = || Node::Number(read(first.terms.first().map_or("", |it| &it.number)));
            if first.form == SizeForm::Concise {
                parts.extend(numbers(shown));
                parts.extend([Node::OPEN, number(), Node::CLOSE]);
            } else {
                parts.push(Node::OPEN);
                parts.extend(numbers(&without_power(shown)));
                parts.extend([PLUS_OR_MINUS, number(), Node::CLOSE]);
                parts.extend(shown.power.map(Node::PowerOfTen));
            }
            parts.extend(unit_part(&shown.unit));
            words(&first.words, parts);
            sizes = rest;
        }
        _ => {
            parts.extend(numbers(shown));
            parts.extend(unit_part(&shown.unit));
        }
    }
    for size in sizes {
        apart(size, &shown.unit, parts);
    }
}

/// An uncertainty as the author wrote it, and the unit that it counts in.
pub fn size(size: &SizeShown, of: &Unit) -> Node {
    let mut parts = Vec::new();
    apart(size, of, &mut parts);
    // Behind a value a blank stands before the bracket.
    let is_blank = |part: &Node| matches!(part, Node::Space(_));
    Node::Words(parts.into_iter().skip_while(is_blank).collect())
}

/// How large an uncertainty is: `0.5 mm`.
pub fn amount(size: &SizeShown, of: &Unit) -> Node {
    let mut parts = Vec::new();
    terms(size, of, &mut parts);
    Node::Words(parts)
}

/// An uncertainty with a unit of its own: `± (0.4 % + 0.03 L/s)`, `(resolution 0.1 mm)`.
fn apart(size: &SizeShown, of: &Unit, parts: &mut Vec<Node>) {
    match size.form {
        SizeForm::PlusMinus | SizeForm::Concise => parts.push(PLUS_OR_MINUS),
        SizeForm::Resolution => parts.extend([
            Node::Space(Space::Word),
            Node::OPEN,
            Node::Text("resolution".into()),
            Node::Space(Space::Tie),
        ]),
        SizeForm::Counts => {
            parts.extend([
                Node::Space(Space::Word),
                Node::OPEN,
                Node::Text("Poisson".into()),
                Node::CLOSE,
            ]);
            return;
        }
    }
    let is_sum = size.terms.len() > 1;
    parts.extend(is_sum.then_some(Node::OPEN));
    terms(size, of, parts);
    let closes = is_sum || size.form == SizeForm::Resolution;
    parts.extend(closes.then_some(Node::CLOSE));
    words(&size.words, parts);
}

/// `0.4 % + 0.03 L/s`, `0.25 % of 600 kPa`
fn terms(size: &SizeShown, of: &Unit, parts: &mut Vec<Node>) {
    for (at, term) in size.terms.iter().enumerate() {
        if at > 0 {
            parts.push(Node::Operator("+", Kind::Infix { breaks: false }));
        }
        parts.push(Node::Number(read(&term.number)));
        parts.extend(unit_part(term.unit.as_ref().unwrap_or(of)));
        if let Some((whole, unit)) = term.of.as_deref() {
            parts.extend([
                Node::Space(Space::Word),
                Node::Text("of".into()),
                Node::Space(Space::Tie),
                Node::Number(read(whole)),
            ]);
            parts.extend(unit_part(unit));
        }
    }
}

/// The words behind an uncertainty, those of its size in brackets.
fn words(words: &[String], parts: &mut Vec<Node>) {
    let is_behind = |word: &&String| matches!(word.as_str(), "each" | "common");
    for (at, word) in words.iter().filter(|it| !is_behind(it)).enumerate() {
        parts.extend(match at {
            0 => [Node::Space(Space::Word), Node::OPEN],
            _ => [Node::Text(",".into()), Node::Space(Space::Word)],
        });
        match word.strip_prefix("k = ") {
            Some(factor) => parts.extend([
                Node::Letter('k'),
                Node::Operator("=", Kind::Relation),
                Node::Number(read(factor)),
            ]),
            None => parts.push(Node::Text(word.as_str().into())),
        }
    }
    if words.iter().any(|word| !is_behind(&word)) {
        parts.push(Node::CLOSE);
    }
    for word in words.iter().filter(is_behind) {
        parts.extend([Node::Space(Space::Word), Node::Text(word.as_str().into())]);
    }
}

/// A literal without the power of ten that stands behind its brackets.
fn without_power(shown: &Shown) -> Shown {
    let power = shown.power.map(|power| format!("e{power}"));
    let written = shown.written.as_deref().map(|written| {
        let power = power.as_deref().unwrap_or("");
        written.strip_suffix(power).unwrap_or(written).to_owned()
    });
    Shown {
        written,
        ..shown.clone()
    }
}

/// `9.804 ± 0.033`, and the power of ten of both.
fn estimate(value: &Decimal, uncertainty: &Decimal) -> ([Node; 3], Option<Node>) {
    let layout = estimate_layout(value, uncertainty);
    let number = |negative: bool, digits: String| {
        Node::Number(Number {
            negative,
            mantissa: digits.into(),
            exponent: None,
            factor: None,
        })
    };
    let both = [
        number(layout.negative, layout.value),
        PLUS_OR_MINUS,
        number(false, layout.uncertainty),
    ];
    (both, layout.exponent.map(Node::PowerOfTen))
}

/// The number of a value, or its numbers in brackets.
fn numbers(shown: &Shown) -> Option<Node> {
    if shown.shape != Shape::One {
        return Some(list(shown));
    }
    if let Some((digits, Some(spread))) = each_uncertain(shown).next() {
        let (both, power) = estimate(digits, &spread.digits);
        return Some(bracketed(both, power));
    }
    match &shown.written {
        Some(written) => Some(Node::Number(read(written))),
        None => shown.digits.first().map(computed),
    }
}

/// A computed number: `0 (within 4 × 10⁻¹³)` where it is zero as far as is known.
fn computed(digits: &Decimal) -> Node {
    let number = Node::Number(rounded(digits));
    let Some(within) = digits.within() else {
        return number;
    };
    Node::Row(vec![
        number,
        Node::Space(Space::Tie),
        Node::OPEN,
        Node::Text("within".into()),
        Node::Space(Space::Tie),
        Node::Number(rounded(&within)),
        Node::CLOSE,
    ])
}

fn bracketed(both: [Node; 3], power: Option<Node>) -> Node {
    let inside = both.into_iter();
    let row = [Node::OPEN].into_iter().chain(inside).chain([Node::CLOSE]);
    Node::row(row.chain(power).collect())
}

/// The digits of each computed number that has an uncertainty beside it, or none.
fn each_uncertain(shown: &Shown) -> impl Iterator<Item = (&Decimal, Option<&Spread>)> {
    let spreads = shown.uncertainties.iter().map(Option::as_ref);
    shown.digits.iter().zip(spreads)
}

/// The numbers of a list or a vector in their brackets, each with its uncertainty.
fn list(shown: &Shown) -> Node {
    if shown.uncertainties.is_empty() || shown.digits.is_empty() {
        return plain_list(shown);
    }
    let entries = each_uncertain(shown).map(|(digits, spread)| match spread {
        None => computed(digits),
        Some(spread) => match estimate(digits, &spread.digits) {
            (both, None) => Node::row(both.into()),
            (both, power) => bracketed(both, power),
        },
    });
    fenced(entries, shown.shape)
}

/// The numbers of a list or a vector in their brackets.
fn plain_list(shown: &Shown) -> Node {
    fenced(each(shown).map(Node::Number), shown.shape)
}

/// Parts between commas, in the brackets of a list or a vector.
pub(super) fn fenced(items: impl Iterator<Item = Node>, shape: Shape) -> Node {
    let mut inside = Vec::new();
    for (index, item) in items.enumerate() {
        if index > 0 {
            inside.push(Node::Operator(",", Kind::ListComma));
        }
        inside.push(item);
    }
    let (open, close) = fences(shape);
    Node::fence(open, Node::row(inside), close, false)
}

/// The brackets around the numbers of a list or a vector.
fn fences(shape: Shape) -> (&'static str, &'static str) {
    match shape {
        Shape::Vector => ("(", ")"),
        Shape::One | Shape::List => ("[", "]"),
    }
}

/// A plain number to a number of figures, in running text.
pub fn number(value: f64, figures: u8) -> Node {
    Node::Words(vec![Node::Number(rounded(&to_figures(value, figures)))])
}

/// How many entries a list prints.
pub fn entries(shown: &Shown) -> usize {
    match &shown.written {
        Some(written) => list_parts(written).count(),
        None => shown.digits.len(),
    }
}

/// The numbers of a list, as the author wrote them or else by their figures.
fn each(shown: &Shown) -> impl Iterator<Item = Number> {
    let written = shown.written.iter().flat_map(|written| list_parts(written));
    let digits = match shown.written {
        Some(_) => &[],
        None => shown.digits.as_slice(),
    };
    written.map(read).chain(digits.iter().map(rounded))
}

/// A unit with its leading space; nothing for the unit one.
pub(super) fn unit_part(unit: &Unit) -> Option<Node> {
    let text = unit.text();
    (!text.is_empty()).then(|| Node::Unit(text.into()))
}

/// A value as plain text: `-3.006 m/s`, `[1.2, 3.4] mm`, `420 kPa gauge`.
pub fn text(shown: &Shown) -> String {
    let mut out = String::new();
    match &shown.written {
        Some(written) if shown.shape != Shape::One => {
            let (open, close) = fences(shown.shape);
            out.push_str(open);
            out.push_str(written);
            out.push_str(close);
        }
        Some(_) => out.extend(without_power(shown).written),
        None if shown.shape != Shape::One => {
            let texts: Vec<String> = texts(shown).collect();
            let (open, close) = fences(shown.shape);
            out.push_str(open);
            out.push_str(&texts.join(", "));
            out.push_str(close);
        }
        None => out.extend(texts(shown).next()),
    }
    let (first, rest) = match shown.sizes.split_first() {
        Some((first, rest)) if first.shares_unit() && shown.shape == Shape::One => {
            (Some(first), rest)
        }
        _ => (None, shown.sizes.as_slice()),
    };
    if let Some((first, TermShown { number, .. })) =
        first.and_then(|it| Some((it, it.terms.first()?)))
    {
        out.push_str(&match first.form {
            SizeForm::Concise => format!("({number})"),
            _ => format!(" ± {number}"),
        });
    }
    if let Some(power) = shown.power {
        out.insert(0, '(');
        out.push_str(&format!(") × 10{}", raised(power)));
    }
    out.push_str(&unit_text(&shown.unit));
    out.push_str(&words_text(first.map_or(&[], |first| &first.words)));
    for size in rest {
        out.push_str(&size_text(size, &shown.unit));
    }
    if let Some(word) = shown.word {
        out.push(' ');
        out.push_str(word);
    }
    out.extend(shown.coverage.as_ref().map(coverage_text));
    if is_second_order(shown) {
        out.push(' ');
        out.push_str(SECOND_ORDER);
    }
    out
}

/// A unit with the blank before it.
fn unit_text(unit: &Unit) -> String {
    let unit = unit.text();
    match unit.is_empty() || unit_clings(unit) {
        true => unit.to_owned(),
        false => format!(" {unit}"),
    }
}

/// An uncertainty as the author wrote it, with the blank before it: ` ± 0.5 % (rectangular)`.
pub fn size_text(size: &SizeShown, of: &Unit) -> String {
    let terms: Vec<String> = (size.terms.iter())
        .map(|term| {
            let own = unit_text(term.unit.as_ref().unwrap_or(of));
            let whole = term.of.as_deref();
            let whole = whole.map(|(whole, unit)| format!(" of {whole}{}", unit_text(unit)));
            format!("{}{own}{}", term.number, whole.unwrap_or_default())
        })
        .collect();
    let sum = terms.join(" + ");
    let amount = match size.form {
        SizeForm::PlusMinus | SizeForm::Concise if terms.len() > 1 => format!(" ± ({sum})"),
        SizeForm::PlusMinus | SizeForm::Concise => format!(" ± {sum}"),
        SizeForm::Resolution => format!(" (resolution {sum})"),
        SizeForm::Counts => " (Poisson)".to_owned(),
    };
    amount + &words_text(&size.words)
}

/// ` (k = 2) common`
fn words_text(words: &[String]) -> String {
    let is_behind = |word: &&String| matches!(word.as_str(), "each" | "common");
    let inside: Vec<&str> = (words.iter())
        .filter(|word| !is_behind(word))
        .map(String::as_str)
        .collect();
    let mut out = match inside.is_empty() {
        true => String::new(),
        false => format!(" ({})", inside.join(", ")),
    };
    for word in words.iter().filter(is_behind) {
        out.push(' ');
        out.push_str(word);
    }
    out
}

/// Each computed number with its uncertainty as plain text; those of a list have brackets only
/// before a power of ten.
fn texts(shown: &Shown) -> impl Iterator<Item = String> {
    shown.digits.iter().enumerate().map(|(at, digits)| {
        let spread = shown.uncertainties.get(at).and_then(Option::as_ref);
        let Some(spread) = spread else {
            return digits.text();
        };
        let text = estimate_text(digits, &spread.digits);
        match (
            shown.shape,
            text.strip_prefix('(').and_then(|it| it.strip_suffix(')')),
        ) {
            (Shape::List | Shape::Vector, Some(inside)) => inside.to_owned(),
            _ => text,
        }
    })
}

/// Which brackets a number needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Brackets {
    /// None.
    None,
    /// Round ones, should it have a power of ten.
    AroundPowersOfTen,
    /// Round ones.
    Round,
}

/// Number and unit, without uncertainty and datum word: what is put in for a symbol. Tells the
/// width in em.
pub(super) fn operand(shown: &Shown, brackets: Brackets, parts: &mut Vec<Node>) -> f32 {
    if shown.shape != Shape::One {
        let numbers = plain_list(shown);
        let width = list_width(shown);
        parts.push(numbers);
        parts.extend(unit_part(&shown.unit));
        return width;
    }
    let digits = || shown.digits.first().map(rounded);
    let number = shown.written.as_deref().map(read).or_else(digits);
    number.map_or(0.0, |number| quantity(number, &shown.unit, brackets, parts))
}

/// Estimated width of a list with its unit in em: rather too wide, so that a row that holds one is
/// given its places to break.
fn list_width(shown: &Shown) -> f32 {
    let sign = |is_negative: bool| if is_negative { 3 } else { 0 };
    let number = |number: Number| {
        let power = number.exponent.map_or(0, |exponent| {
            44 + sign(exponent < 0) + exponent.unsigned_abs().to_string().len()
        });
        35 + sign(number.negative) + number.mantissa.len() + power
    };
    let numbers: usize = each(shown).map(number).sum();
    let unit = match shown.unit.text() {
        "" => 0,
        text if unit_clings(text) => 15 + text.len(),
        text => 17 + text.len(),
    };
    // The first number has no comma.
    0.2 * (67 + numbers - 26 + unit) as f32
}

/// A number with its unit; tells the width in em.
pub(super) fn quantity(
    number: Number,
    unit: &Unit,
    brackets: Brackets,
    parts: &mut Vec<Node>,
) -> f32 {
    let in_brackets = match brackets {
        Brackets::None => false,
        Brackets::AroundPowersOfTen => !number.is_plain(),
        Brackets::Round => true,
    };
    let width = number.width() + unit_width(unit) + if in_brackets { 0.7 } else { 0.0 };
    parts.push(if in_brackets || !unit.text().is_empty() {
        Node::Quantity(Box::new(Quantity {
            number,
            unit: unit.text().into(),
            in_brackets,
        }))
    } else {
        Node::Number(number)
    });
    width
}

/// Estimated width of a unit in em.
pub(super) fn unit_width(unit: &Unit) -> f32 {
    match unit.text() {
        "" => 0.0,
        text => 0.25 + 0.5 * text.chars().count() as f32,
    }
}
