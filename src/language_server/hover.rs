//! What stands under the cursor: its value, its dimension, its line, its uses.

mod words;

use lsp_types::{Hover, HoverContents, HoverParams, MarkupContent, MarkupKind, Range};

use super::documents::Document;
use super::facts;
use super::names::{Occurrence, Target};
use super::{pictures, sketches};
use crate::quantity::{self, Dimension, EDITION, Unit};
use crate::resolve::{SymbolId, Typed};
use crate::syntax::BlockKind;
use crate::text::Span;
use crate::typeset;
use crate::worksheet::{Body, Entries, Placed, Shown, Statement, Table, TableColumn};

/// What is known about the name, the unit or the block under the cursor.
pub(super) fn hover(document: &Document, params: &HoverParams) -> Option<Hover> {
    let places = document.places();
    let position = params.text_document_position_params.position;
    let place = places.at(position);
    let found = document.names().at(place);
    let about = found.and_then(|name| Some((about(document, &name)?, name.span)));
    let about = of_balance(document, place, about.as_ref()).or(about);
    let about = picture(document, place).or(about);
    if let Some((text, span)) = about.or_else(|| block_word(document, place)) {
        return Some(answer(text, places.range(span)));
    }
    let file = document.file();
    let (text, span) = words::word(document.text(), file.offset(position))?;
    Some(answer(text, file.range(span)))
}

/// The balance that is named at a place, written out, and what is known of the name there.
fn of_balance(
    document: &Document,
    place: u32,
    about: Option<&(String, Span)>,
) -> Option<(String, Span)> {
    let named = sketches::balance(document, place)?;
    if place < named.span.start || named.span.end < place {
        return None;
    }
    let derived = format!("`{}`: {}", named.words, code(&named.derived));
    Some(match about {
        Some((about, span)) => (format!("{derived}\n\n{about}"), *span),
        None => (derived, named.span),
    })
}

/// The picture that is referred to: its number and caption, and its line.
fn picture(document: &Document, place: u32) -> Option<(String, Span)> {
    let found = pictures::referred(document, place)?;
    let says = format!("Figure {}. {}", found.number, found.picture.caption);
    let line = self::place(document, found.place.start);
    Some((format!("{says}\n\n{line}"), found.span))
}

fn answer(value: String, range: Range) -> Hover {
    Hover {
        contents: HoverContents::Markup(MarkupContent {
            kind: MarkupKind::Markdown,
            value,
        }),
        range: Some(range),
    }
}

fn about(document: &Document, name: &Occurrence) -> Option<String> {
    let worksheet = document.worksheet();
    let written = worksheet.source.slice(name.span);
    match &name.target {
        Target::Symbol { problem, key } => {
            let placed = worksheet.problems.get(*problem)?;
            let symbol = placed.find(key)?;
            Some(quantity(document, (placed, symbol), &name.target, written))
        }
        Target::Function { problem, key } => {
            let placed = worksheet.problems.get(*problem)?;
            let function = placed.find_function(key);
            let found = function.and_then(|id| facts::function(&placed.problem, id));
            let mut paragraphs = match found {
                Some(statement) => line(document, placed, statement),
                None => vec![format!("`{written}`: a function")],
            };
            paragraphs.push(facts::uses(document, &name.target));
            Some(paragraphs.join("\n\n"))
        }
        Target::BuiltIn(function) => Some(built_in(*function)),
        Target::Parameter { .. } => Some(format!("`{written}`: a parameter of this function")),
        Target::Label { problem, text } => {
            let placed = worksheet.problems.get(*problem)?;
            let found = facts::labelled(&placed.problem, text);
            Some(label(document, placed, found, &name.target))
        }
        Target::Spot {
            sketch, is_section, ..
        } => {
            let what = if *is_section { "section" } else { "place" };
            let label = worksheet.source.slice(*sketch);
            let mut paragraphs = vec![format!("`{written}`: a {what} of the sketch `{label}`")];
            let definition = document.names().definition(&name.target);
            paragraphs.extend(definition.map(|it| self::place(document, it.span.start)));
            paragraphs.push(facts::uses(document, &name.target));
            Some(paragraphs.join("\n\n"))
        }
        Target::Unit => unit(written),
        Target::Constant => constant(written),
        Target::Undefined(_) => Some(format!("`{written}` is not defined")),
    }
}

/// An equation with its number; one that was refused has none, and its line is shown as it is.
fn label(
    document: &Document,
    placed: &Placed,
    found: Option<(&Statement, usize)>,
    target: &Target,
) -> String {
    let mut paragraphs = match found {
        Some((statement, number)) => {
            let number = placed.equation(number);
            let number = match &statement.body {
                Body::Sketch(_) | Body::Plot(_) => format!("Figure {number}"),
                _ => format!("equation ({number})"),
            };
            std::iter::once(number)
                .chain(line(document, placed, statement))
                .collect()
        }
        None => vec!["an equation that is not understood".to_owned()],
    };
    if let (None, Some(definition)) = (found, document.names().definition(target)) {
        paragraphs.push(place(document, definition.span.start));
    }
    paragraphs.push(facts::uses(document, target));
    paragraphs.join("\n\n")
}

/// A line of the file as it stands.
fn place(document: &Document, place: u32) -> String {
    let source = &document.worksheet().source;
    let number = source.line_of(place);
    let text = source.slice(source.line_span(number));
    format!("line {number}: {}", code(text.trim()))
}

fn quantity(
    document: &Document,
    (placed, symbol): (&Placed, SymbolId),
    target: &Target,
    written: &str,
) -> String {
    if let Some((statement, table, column)) = facts::column(&placed.problem, symbol) {
        return of_column(
            document,
            (placed, statement),
            (table, column),
            (target, written),
        );
    }
    let shown = facts::value(&placed.problem, symbol);
    let mut paragraphs = vec![match shown {
        Some(shown) => format!("`{written}` = {}", facts::printed(shown)),
        None => format!("`{written}` has no value here"),
    }];
    paragraphs.extend(shown.map(dimension_of));
    paragraphs.extend(sketches::said(document, placed, symbol));
    if let Some(definition) = document.names().definition(target) {
        match facts::statement_at(document.worksheet(), definition.span.start) {
            Some((placed, statement)) => {
                paragraphs.extend(line(document, placed, statement));
                paragraphs.extend(taken(placed, statement));
            }
            None => paragraphs.push(place(document, definition.span.start)),
        }
    }
    paragraphs.push(facts::uses(document, target));
    paragraphs.join("\n\n")
}

/// "`l_i`: 7 of 8 readings, in mm", what they are, and their uncertainties in words.
fn of_column(
    document: &Document,
    (placed, statement): (&Placed, &Statement),
    (table, column): (&Table, &TableColumn),
    (target, written): (&Target, &str),
) -> String {
    let Entries::Readings {
        unit,
        word,
        readings,
        times,
        shown,
        described,
        uncertain,
        ..
    } = &column.entries
    else {
        return format!("`{written}`: words");
    };
    let taking_part = shown.si.iter().filter(|value| !value.is_nan()).count();
    let count = match taking_part == readings.len() {
        true => format!("{taking_part} readings"),
        false => format!("{taking_part} of {} readings", readings.len()),
    };
    let unit = match (times, unit.text()) {
        (Some(times), _) => format!(", as `{}`", times.pattern.text()),
        (None, "") => ", plain numbers".to_owned(),
        (None, text) => [Some(text), *word]
            .into_iter()
            .flatten()
            .fold(", in".to_owned(), |words, word| format!("{words} {word}")),
    };
    let mut paragraphs = vec![format!("`{written}`: {count}{unit}")];
    let text = &placed.problem.text;
    paragraphs.extend(described.map(|span| span.of(text).to_owned()));
    match uncertain.is_empty() {
        true => paragraphs.push("no uncertainty stated".to_owned()),
        false => paragraphs.extend(uncertain.iter().map(|own| {
            let size = own.size.as_ref();
            let size = size.map(|(size, unit)| typeset::size_text(size, unit));
            let size = size.unwrap_or_else(|| "as stated".to_owned());
            let standard = if own.is_standard {
                "standard uncertainty "
            } else {
                ""
            };
            format!("{standard}{}, {}", size.trim(), own.of)
        })),
    }
    let line = document.worksheet().line(placed, statement.span);
    let label = statement.label.as_ref().map_or("", |(label, _)| label);
    let rows = match table.rows {
        1 => "1 row".to_owned(),
        rows => format!("{rows} rows"),
    };
    paragraphs.push(format!("table `{label}` of {rows}, line {line}"));
    paragraphs.push(facts::uses(document, target));
    paragraphs.join("\n\n")
}

/// The formula that a line took from an equation above, which it does not show itself.
fn taken(placed: &Placed, statement: &Statement) -> Option<String> {
    let Body::Work(work) = &statement.body else {
        return None;
    };
    let problem = &*placed.problem;
    let (before, _) = statement.span.of(&problem.text).split_once('?')?;
    if before.matches('=').count() != 1 {
        return None;
    }
    let writer = Typed {
        text: &problem.text,
        symbols: &problem.symbols,
    };
    let formula = writer.written(work.members.first()?);
    let formula = code(&format!("{} = {formula}", writer.written(&work.lead)));
    Some(match work.from {
        Some(number) => format!("by equation ({}): {formula}", placed.equation(number)),
        None => format!("by the formula above: {formula}"),
    })
}

/// "pressure, Pa"; a plain number says so.
fn dimension_of(shown: &Shown) -> String {
    dimension(shown.unit.dimension())
}

fn dimension(dimension: Dimension) -> String {
    if dimension.is_none() {
        return "a plain number".to_owned();
    }
    match dimension.noun() {
        Some(noun) => format!("{noun}, {}", dimension.symbol()),
        None => dimension.formula(),
    }
}

/// A line as it stands, where it stands, and what is written beside it.
fn line(document: &Document, placed: &Placed, statement: &Statement) -> Vec<String> {
    let source = statement.span.of(&placed.problem.text);
    let words: Vec<&str> = source.split_whitespace().collect();
    let number = document.worksheet().line(placed, statement.span);
    let place = format!("line {number}: {}", code(&words.join(" ")));
    let described = facts::description(&placed.problem, statement).map(str::to_owned);
    described.into_iter().chain([place]).collect()
}

/// A code span, with as many backticks as its text needs.
fn code(text: &str) -> String {
    if text.contains('`') {
        format!("`` {text} ``")
    } else {
        format!("`{text}`")
    }
}

fn built_in(function: crate::functions::Function) -> String {
    let (least, most) = function.arity();
    let takes = match (least, most) {
        (1, 1) => "one argument".to_owned(),
        (2, 2) => "two arguments".to_owned(),
        (least, _) => format!("{least} or more arguments"),
    };
    format!(
        "`{}`: a function of the language, of {takes}",
        function.name()
    )
}

fn unit(symbol: &str) -> Option<String> {
    if symbol == "%" {
        return Some("`%`: per cent, 0.01".to_owned());
    }
    let name = quantity::describe(symbol)?;
    let unit = Unit::lone(symbol).ok()?;
    let row = quantity::list().find(|row| row.symbols().contains(&symbol));
    let mut paragraphs = vec![
        format!("`{symbol}`: {name}, a unit"),
        dimension(unit.dimension()),
    ];
    paragraphs.extend(factor(symbol, &unit));
    paragraphs.extend(match row {
        // Where the program has the number from says nothing to an author.
        Some(row) if row.source().starts_with("uom ") => None,
        Some(row) => Some(row.source().to_owned()),
        None => Some("SI prefix".to_owned()),
    });
    Some(paragraphs.join("\n\n"))
}

/// What one of it is in coherent SI units; nothing for those units themselves.
fn factor(symbol: &str, unit: &Unit) -> Option<String> {
    let si = unit.dimension();
    let si = if si.is_none() {
        String::new()
    } else {
        format!(" {}", si.symbol())
    };
    let number = number(unit.factor());
    if si.trim_start() == symbol {
        return None;
    }
    Some(match unit.mark() {
        quantity::Mark::Decibel => format!("x {symbol} is 10^(x/10)"),
        _ if unit.offset() != 0.0 => {
            format!("x {symbol} is (x + {}) × {number}{si}", unit.offset())
        }
        _ => format!("1 {symbol} = {number}{si}"),
    })
}

/// A number in full, with a power of ten where it would be long.
pub(super) fn number(value: f64) -> String {
    if value == 0.0 || (1e-4..1e7).contains(&value.abs()) {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

fn constant(written: &str) -> Option<String> {
    match written {
        "pi" | "π" => return Some("`pi` = 3.141592653589793".to_owned()),
        "inf" => return Some("`inf`: beyond every bound".to_owned()),
        _ => {}
    }
    let constant = quantity::constant(written)?;
    let spread = match constant.uncertainty {
        Some(uncertainty) => format!("standard uncertainty {uncertainty}"),
        None => "exact".to_owned(),
    };
    let unit = constant.unit();
    let unit = match unit.source() == constant.published {
        true => unit.text().to_owned(),
        false => constant.published.to_owned(),
    };
    let value = [constant.number, &unit].join(" ");
    Some(format!(
        "{}\n\n{}, {spread}\n\n{EDITION}",
        constant.name,
        value.trim_end()
    ))
}

/// What a block is, at the word of its fence.
fn block_word(document: &Document, place: u32) -> Option<(String, Span)> {
    let source = &document.worksheet().source;
    let line = source.line_span(source.line_of(place));
    let text = source.slice(line);
    let fence = text.trim_start_matches(['\u{feff}', ' ', '>']);
    let word = fence.trim_start_matches(['`', '~']);
    if fence.len() - word.len() < 3 {
        return None;
    }
    let at = text.len() - word.trim_start().len();
    let word = word.split_whitespace().next()?;
    let start = line.start as usize + at;
    let span = Span::new(start, start + word.len());
    let is_here = span.start <= place && place <= span.end;
    let meaning = BlockKind::named(word)?.about();
    is_here.then(|| (format!("`{word}`: {meaning}"), span))
}

#[cfg(test)]
mod tests;
