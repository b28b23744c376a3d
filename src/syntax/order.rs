//! What may follow in a line whose parts stand in a fixed order.
//!
//! In go the order of the parts, as a table has it (`force $formula $direction [ at $place ]`), and
//! a line or the beginning of one; out come what each word of it is, and what may stand behind it.
//! Nothing is refused, and the line need not be whole: this serves lines that are being written.

use super::grammar::{self, Rule};
use super::tokens::{Token, TokenKind, tokens};

/// What a part of a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// A word of the language.
    Word,
    /// A formula, or a piece of one.
    Formula,
    /// A number with its unit.
    Amount,
    /// The name of a place.
    Place {
        /// Whether it is given its meaning here.
        is_new: bool,
    },
    /// The name of a section.
    Section {
        /// Whether it is given its meaning here.
        is_new: bool,
    },
    /// A label.
    Label,
}

/// A part of a line in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// Where it begins.
    pub start: usize,
    /// Where it ends.
    pub end: usize,
    /// What it is.
    pub what: Part,
}

/// What may stand next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next<'o> {
    /// Words.
    Words(&'o str),
    /// A formula, or more of one.
    Formula,
    /// A number with its unit.
    Amount,
    /// The name of a place.
    Place,
    /// The name of a section.
    Section,
    /// A label.
    Label,
}

/// What a line or the beginning of one is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Followed<'o> {
    /// Its parts, as far as they can be told.
    pub parts: Vec<Told>,
    /// Whether nothing has to follow.
    pub is_whole: bool,
    /// What may follow; a comma or an equals sign is not told.
    pub next: Vec<Next<'o>>,
}

impl Followed<'_> {
    /// Takes in what another order makes of the same line: what is whole goes before what goes farther.
    pub fn or(mut self, other: Self) -> Self {
        let end = |parts: &[Told]| parts.last().map_or(0, |part| part.end);
        let is_better = match (self.is_whole, other.is_whole) {
            (true, _) => false,
            (false, true) => true,
            (false, false) => end(&other.parts) > end(&self.parts),
        };
        if is_better {
            self.parts = other.parts;
        }
        self.is_whole |= other.is_whole;
        for next in other.next {
            if !self.next.contains(&next) {
                self.next.push(next);
            }
        }
        self
    }
}

/// The order of the parts of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order(Vec<Node>);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Node {
    /// A word, and that with those that have to follow it.
    Word(Box<str>, Box<str>),
    Name(Part),
    Formula,
    Amount,
    Optional(Vec<Node>),
    Repeated(Vec<Node>),
    Either(Vec<Vec<Node>>),
}

impl Order {
    /// Reads an order: words, `$formula` and other parts, `[ … ]` for what may be left out,
    /// `{ … }` for what may stand any number of times, `( … | … )` for a choice. `part` has the
    /// orders of parts that are made of others.
    pub fn new(text: &str, part: &dyn Fn(&str) -> Option<String>) -> Self {
        let words: Vec<&str> = text.split_whitespace().collect();
        let mut at = 0;
        Self(sequence(&words, &mut at, part))
    }

    /// What a line is that has this order.
    pub fn follow(&self, text: &str) -> Followed<'_> {
        let found: Vec<Token<'_>> = tokens(text).collect();
        let ends = |token: &Token<'_>| {
            matches!(token.text, "," | "=") || grammar::parse(Rule::sketch_word, token.text).is_ok()
        };
        let mut walk = Walk {
            ends_a_formula: found.iter().map(ends).collect(),
            tokens: found,
            next: Vec::new(),
            farthest: Vec::new(),
        };
        let states = walk.sequence(&self.0, vec![State::default()]);
        let last = walk.tokens.len();
        let whole = states.into_iter().find(|state| state.at == last);
        Followed {
            is_whole: whole.is_some(),
            parts: whole.map_or(walk.farthest, |state| state.parts),
            next: walk.next,
        }
    }

    /// A line of this order, with what `name` gives for its names and formulas.
    #[cfg(test)]
    pub fn example(
        &self,
        draw: &mut dyn FnMut(usize) -> usize,
        name: &mut dyn FnMut(Part) -> String,
    ) -> String {
        example(&self.0, draw, name).join(" ").replace(" ,", ",")
    }
}

fn sequence(words: &[&str], at: &mut usize, part: &dyn Fn(&str) -> Option<String>) -> Vec<Node> {
    let mut nodes = Vec::new();
    while let Some(word) = words.get(*at) {
        if matches!(*word, "]" | "}" | ")" | "|") {
            break;
        }
        *at += 1;
        match *word {
            "[" => {
                nodes.push(Node::Optional(sequence(words, at, part)));
                *at += 1;
            }
            "{" => {
                nodes.push(Node::Repeated(sequence(words, at, part)));
                *at += 1;
            }
            "(" => {
                let mut choices = vec![sequence(words, at, part)];
                while words.get(*at) == Some(&"|") {
                    *at += 1;
                    choices.push(sequence(words, at, part));
                }
                *at += 1;
                nodes.push(Node::Either(choices));
            }
            "$formula" => nodes.push(Node::Formula),
            "$amount" => nodes.push(Node::Amount),
            "$place" => nodes.push(Node::Name(Part::Place { is_new: false })),
            "$newplace" => nodes.push(Node::Name(Part::Place { is_new: true })),
            "$section" => nodes.push(Node::Name(Part::Section { is_new: false })),
            "$newsection" => nodes.push(Node::Name(Part::Section { is_new: true })),
            "$label" => nodes.push(Node::Name(Part::Label)),
            word => match part(word) {
                Some(order) => nodes.extend(Order::new(&order, part).0),
                None => nodes.push(Node::Word(word.into(), word.into())),
            },
        }
    }
    let mut behind = String::new();
    for node in nodes.iter_mut().rev() {
        behind = match node {
            Node::Word(word, phrase) if !is_mark(word) => {
                *phrase = format!("{word} {behind}").trim_end().into();
                phrase.to_string()
            }
            _ => String::new(),
        };
    }
    nodes
}

/// How far a line was followed.
#[derive(Debug, Clone, Default)]
struct State {
    at: usize,
    parts: Vec<Told>,
}

struct Walk<'t, 'o> {
    tokens: Vec<Token<'t>>,
    ends_a_formula: Vec<bool>,
    next: Vec<Next<'o>>,
    farthest: Vec<Told>,
}

impl<'o> Walk<'_, 'o> {
    fn sequence(&mut self, nodes: &'o [Node], states: Vec<State>) -> Vec<State> {
        let mut states = states;
        for node in nodes {
            if states.is_empty() {
                break;
            }
            states = self.node(node, states);
        }
        states
    }

    fn node(&mut self, node: &'o Node, states: Vec<State>) -> Vec<State> {
        match node {
            Node::Optional(inner) => {
                let more = self.sequence(inner, states.clone());
                merged(states, more)
            }
            Node::Repeated(inner) => {
                let (mut all, mut last) = (states.clone(), states);
                while !last.is_empty() {
                    let known: Vec<usize> = all.iter().map(|state| state.at).collect();
                    last = self.sequence(inner, last);
                    last.retain(|state| !known.contains(&state.at));
                    all = merged(all, last.clone());
                }
                all
            }
            Node::Either(choices) => {
                let each = choices
                    .iter()
                    .map(|choice| self.sequence(choice, states.clone()));
                let each: Vec<Vec<State>> = each.collect();
                each.into_iter().fold(Vec::new(), merged)
            }
            Node::Word(..) | Node::Name(_) | Node::Formula | Node::Amount => {
                let mut found = Vec::new();
                for state in states {
                    match state.at == self.tokens.len() {
                        true => self.expect(node),
                        false => found = merged(found, self.step(node, &state)),
                    }
                }
                found
            }
        }
    }

    /// Notes what may stand at the end of the line.
    fn expect(&mut self, node: &'o Node) {
        let next = match node {
            Node::Word(word, _) if is_mark(word) => return,
            Node::Word(_, phrase) => Next::Words(phrase),
            Node::Name(Part::Place { is_new: false }) => Next::Place,
            Node::Name(Part::Section { is_new: false }) => Next::Section,
            Node::Name(Part::Label) => Next::Label,
            Node::Formula => Next::Formula,
            Node::Amount => Next::Amount,
            Node::Name(_) | Node::Optional(_) | Node::Repeated(_) | Node::Either(_) => return,
        };
        if !self.next.contains(&next) {
            self.next.push(next);
        }
    }

    /// The states behind a word, a name or a formula.
    fn step(&mut self, node: &Node, state: &State) -> Vec<State> {
        let from = state.at;
        let (ends, what) = match node {
            Node::Word(word, _) => match *self.tokens[from].text == **word {
                true => (vec![from + 1], Part::Word),
                false => return Vec::new(),
            },
            Node::Name(what) => match self.name(from) {
                Some(end) => (vec![end], *what),
                None => return Vec::new(),
            },
            Node::Amount => (self.formula(from, Next::Amount), Part::Amount),
            _ => (self.formula(from, Next::Formula), Part::Formula),
        };
        let step = |end: usize| {
            let mut parts = state.parts.clone();
            parts.push(Told {
                start: self.tokens[from].at,
                end: self.tokens[end - 1].end(),
                what,
            });
            State { at: end, parts }
        };
        let found: Vec<State> = ends.into_iter().map(step).collect();
        let end = |parts: &[Told]| parts.last().map_or(0, |part| part.end);
        // What goes farthest is told first.
        for state in found.iter().rev() {
            if end(&state.parts) > end(&self.farthest) {
                self.farthest.clone_from(&state.parts);
            }
        }
        found
    }

    /// Behind which token a name ends: what stands together without a blank.
    fn name(&self, from: usize) -> Option<usize> {
        let is_part = |token: &Token<'_>| {
            matches!(
                token.kind,
                TokenKind::Word | TokenKind::Number | TokenKind::Strange
            ) || matches!(token.text, "'" | "-" | "′")
        };
        let mut end = from;
        while let Some(token) = self.tokens.get(end).filter(|token| is_part(token)) {
            if end > from && self.tokens[end - 1].end() != token.at {
                break;
            }
            end += 1;
        }
        (end > from).then_some(end)
    }

    /// Behind which tokens a formula or a number may end; more of it is told as `more`.
    fn formula(&mut self, from: usize, more: Next<'o>) -> Vec<usize> {
        let (mut depth, mut ends) = (0_usize, Vec::new());
        for at in from..self.tokens.len() {
            match self.tokens[at].kind {
                TokenKind::Open => depth += 1,
                TokenKind::Close => depth = depth.saturating_sub(1),
                _ if depth == 0 && self.ends_a_formula[at] => return ends,
                _ => {}
            }
            if depth == 0 {
                ends.push(at + 1);
            }
        }
        // More of it may stand behind the line.
        if !self.next.contains(&more) {
            self.next.push(more);
        }
        ends
    }
}

fn is_mark(word: &str) -> bool {
    matches!(word, "," | "=")
}

/// The states of both, one for each place.
fn merged(mut states: Vec<State>, more: Vec<State>) -> Vec<State> {
    for state in more {
        if !states.iter().any(|known| known.at == state.at) {
            states.push(state);
        }
    }
    states
}

#[cfg(test)]
fn example(
    nodes: &[Node],
    draw: &mut dyn FnMut(usize) -> usize,
    name: &mut dyn FnMut(Part) -> String,
) -> Vec<String> {
    let mut out = Vec::new();
    for node in nodes {
        match node {
            Node::Word(word, _) => out.push(word.to_string()),
            Node::Name(part) => out.push(name(*part)),
            Node::Formula => out.push(name(Part::Formula)),
            Node::Amount => out.push(name(Part::Amount)),
            Node::Optional(inner) if draw(2) == 0 => out.extend(example(inner, draw, name)),
            Node::Optional(_) => {}
            Node::Repeated(inner) => {
                for _ in 0..draw(3) {
                    out.extend(example(inner, draw, name));
                }
            }
            Node::Either(choices) => {
                let choice = &choices[draw(choices.len())];
                out.extend(example(choice, draw, name));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn follow(order: &str, text: &str) -> String {
        let order = Order::new(order, &|_| None);
        let found = order.follow(text);
        let parts = found.parts.iter();
        let parts: Vec<String> = parts
            .map(|it| format!("{:?} {}", it.what, &text[it.start..it.end]))
            .collect();
        format!("{parts:?} {} {:?}", found.is_whole, found.next)
    }

    #[test]
    fn what_follows_is_told_at_each_place_of_a_line() {
        let order = "force $formula ( right | at $formula above left ) [ at $place ]";
        for (text, expected) in [
            ("", "[] false [Words(\"force\")]"),
            ("force ", "[\"Word force\"] false [Formula]"),
            (
                "force 2 F ",
                "[\"Word force\", \"Formula 2 F\"] false [Formula, Words(\"right\"), Words(\"at\")]",
            ),
            (
                "force F right ",
                "[\"Word force\", \"Formula F\", \"Word right\"] true [Words(\"at\")]",
            ),
            (
                "force F at b above left at ",
                "[\"Word force\", \"Formula F\", \"Word at\", \"Formula b\", \"Word above\", \"Word left\", \"Word at\"] false [Place]",
            ),
            (
                "force F up at A",
                "[\"Word force\", \"Formula F\"] false []",
            ),
            ("weight W", "[] false []"),
            ("force (F in right", "[\"Word force\"] false [Formula]"),
        ] {
            assert_eq!(follow(order, text), expected, "{text}");
        }
    }

    #[test]
    fn what_is_repeated_and_what_may_be_left_out_ends_where_the_line_does() {
        let order = "outline $place to $place { to $place } [ , moment of inertia $formula ]";
        let whole = |text| Order::new(order, &|_| None).follow(text).is_whole;
        assert!(whole("outline A to B'"));
        assert!(whole("outline A to B to C1 to 2a, moment of inertia J"));
        assert!(!whole("outline A to B to"));
        let order = Order::new(order, &|_| None);
        let found = order.follow("outline A to B,");
        assert_eq!(found.next, [Next::Words("moment of inertia")]);
        assert!(Order::new("", &|_| None).follow("").is_whole);
    }
}
