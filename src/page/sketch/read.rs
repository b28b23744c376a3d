//! A sketch read out: its lines in their order, as they are spoken.

use super::Drawing;
use crate::drawing::letters;
use crate::text::Span;
use crate::typeset;
use crate::worksheet::{Body, Statement};

/// Behind these a side is told from something, and is no way.
const TOLD_FROM: [&str; 4] = ["above", "below", "of", "from"];

impl Drawing<'_> {
    /// The lines of a sketch, with the values that are known.
    pub(super) fn read_out(&self, statements: &[Statement]) -> String {
        // Neither how it is drawn nor a line that was refused is on it.
        let own = statements.iter().skip(1);
        let own = own.filter(|line| matches!(line.body, Body::OfBlock));
        let lines: Vec<Span> = match self.is_found() {
            true => self.of.lines.clone(),
            false => own.map(|line| line.span).collect(),
        };
        let is_look = |line: &&Span| {
            let words = ["show ", "scale "];
            let text = self.page.slice(**line);
            words.iter().any(|word| text.starts_with(word))
        };
        let lines = lines.iter().filter(|line| !is_look(line));
        let lines = lines.map(|line| spoken(&self.valued(*line)));
        let turned = self.sketch.turned.iter();
        let turned = turned.filter(|it| self.is_found() && it.is_turned);
        let problem = &self.page.placed.problem;
        let turned = turned.map(|turned| {
            let key = &problem.symbols.symbol(turned.symbol).key;
            let words = turned.words.plain(&problem.text);
            format!("as found, {} {words}", self::name(key))
        });
        lines.chain(turned).collect::<Vec<_>>().join("; ")
    }

    /// A line with values behind the names whose first mention is in it.
    fn valued(&self, line: Span) -> String {
        let mut text = self.page.slice(line).to_owned();
        let quantities = self.of.quantities.iter().zip(&self.sketch.shown);
        let mut found: Vec<(u32, String)> = quantities
            .filter(|(expr, _)| line.start <= expr.span.start && expr.span.end <= line.end)
            .filter_map(|(expr, shown)| {
                let value = typeset::runs(&typeset::result("=", shown.as_deref()?));
                Some((expr.span.end - line.start, letters::plain(&value)))
            })
            .collect();
        found.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
        for (at, value) in found {
            text.insert_str(at as usize, &format!(" {}", value.trim()));
        }
        text
    }
}

/// A line as it is said: `inlet 1, flow to the right, area A 1`.
fn spoken(line: &str) -> String {
    let mut said: Vec<String> = Vec::new();
    // Blanks around a comma are the author's.
    for word in line.replace(',', " , ").split_whitespace() {
        if let (",", Some(last)) = (word, said.last_mut()) {
            last.push(',');
            continue;
        }
        let before = said.last().map_or("", String::as_str);
        let is_way = !TOLD_FROM.contains(&before);
        let spoken = match word {
            "right" | "left" if is_way => format!("to the {word}"),
            "flow" if said.len() == 2 => {
                said[1].push(',');
                word.to_owned()
            }
            _ => name(word),
        };
        said.push(spoken);
    }
    let is_weight = said.first().is_some_and(|it| it == "weight");
    let mut text = said.join(" ");
    if is_weight && !text.ends_with("neglected") {
        text.push_str(", down");
    }
    text
}

/// `Qdot_l` is said `Q dot l`.
fn name(word: &str) -> String {
    let mut parts = word.splitn(2, '_');
    let base = parts.next().unwrap_or_default();
    let base = match base.strip_suffix("dot") {
        Some(letter) if !letter.is_empty() => format!("{letter} dot"),
        _ => base.to_owned(),
    };
    match parts.next() {
        Some(lowered) => format!("{base} {}", lowered.replace('_', " ")),
        None => base,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_read_out() {
        for (line, said) in [
            (
                "inlet 1 flow right, area A_1, speed V_1, pressure p_1",
                "inlet 1, flow to the right, area A 1, speed V 1, pressure p 1",
            ),
            (
                "outlet 2 flow at beta above left, open",
                "outlet 2, flow at beta above left, open",
            ),
            (
                "outlet 2  flow right ,area A_2,open",
                "outlet 2, flow to the right, area A 2, open",
            ),
            ("weight W", "weight W, down"),
            ("weight neglected", "weight neglected"),
            ("force R_x right at A", "force R x to the right at A"),
            ("heat Qdot_l out", "heat Q dot l out"),
            (
                "inlet 1 flow right, mass flow mdot",
                "inlet 1, flow to the right, mass flow m dot",
            ),
        ] {
            assert_eq!(spoken(line), said);
        }
    }
}
