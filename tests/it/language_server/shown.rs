//! Answers in short: the lines they are about, with their places marked.

use serde_json::Value;

/// The lines of a text, as the protocol counts them.
fn line(text: &str, number: &Value) -> String {
    let number = number.as_u64().unwrap() as usize;
    text.split('\n')
        .nth(number)
        .unwrap_or("")
        .trim_end_matches('\r')
        .to_owned()
}

/// The byte of a line at a character in UTF-16.
fn byte(line: &str, character: &Value) -> usize {
    let character = character.as_u64().unwrap() as usize;
    let mut units = 0;
    for (at, letter) in line.char_indices() {
        if units >= character {
            return at;
        }
        units += letter.len_utf16();
    }
    line.len()
}

/// "3: x = «D_1» = ? m"; lines are counted from 1, as people do.
pub fn place(text: &str, range: &Value) -> String {
    let (start, end) = (&range["start"], &range["end"]);
    let mut found = line(text, &start["line"]);
    let from = byte(&found, &start["character"]);
    let to = if start["line"] == end["line"] {
        byte(&found, &end["character"])
    } else {
        found.len()
    };
    found.insert(to, '»');
    found.insert(from, '«');
    format!("{}: {found}", start["line"].as_u64().unwrap() + 1)
}

/// One place a line.
pub fn places(text: &str, ranges: impl Iterator<Item = Value>) -> String {
    let all: Vec<String> = ranges.map(|range| place(text, &range)).collect();
    all.join("\n")
}

/// A hover: where, and its text.
pub fn hover(text: &str, answer: &Value) -> String {
    let value = answer["contents"]["value"].as_str().unwrap();
    format!("{}\n{value}", place(text, &answer["range"]))
}

/// Lines with their hints in double brackets.
pub fn hints(text: &str, answer: &Value) -> String {
    let hints = answer.as_array().unwrap().iter().map(|hint| {
        let mut found = line(text, &hint["position"]["line"]);
        let at = byte(&found, &hint["position"]["character"]);
        found.insert_str(at, &format!("⟦{}⟧", hint["label"].as_str().unwrap()));
        format!(
            "{}: {found}",
            hint["position"]["line"].as_u64().unwrap() + 1
        )
    });
    hints.collect::<Vec<_>>().join("\n")
}

/// "3: «x» error N01" and the message below it.
pub fn diagnostics(text: &str, answer: &Value) -> String {
    let mut out = Vec::new();
    for found in answer.as_array().unwrap() {
        let severity = if found["severity"] == 1 {
            "error"
        } else {
            "warning"
        };
        let code = found["code"].as_str().unwrap();
        out.push(format!(
            "{} {severity} {code}",
            place(text, &found["range"])
        ));
        let message = found["message"].as_str().unwrap();
        out.extend(message.lines().map(|line| format!("    {line}")));
        for note in found["relatedInformation"]
            .as_array()
            .unwrap_or(&Vec::new())
        {
            let at = place(text, &note["location"]["range"]);
            out.push(format!("    {} ({at})", note["message"].as_str().unwrap()));
        }
    }
    out.join("\n")
}

/// The outline, with the lines that each part takes.
pub fn outline(answer: &Value) -> String {
    let mut out = Vec::new();
    outlined(answer, 0, &mut out);
    out.join("\n")
}

fn outlined(symbols: &Value, depth: usize, out: &mut Vec<String>) {
    for symbol in symbols.as_array().unwrap_or(&Vec::new()) {
        let line = |end: &str| symbol["range"][end]["line"].as_u64().unwrap() + 1;
        let detail = symbol["detail"]
            .as_str()
            .map_or(String::new(), |detail| format!(" {detail}"));
        let name = symbol["name"].as_str().unwrap();
        let indent = "  ".repeat(depth);
        out.push(format!(
            "{indent}{name}{detail} ({}-{})",
            line("start"),
            line("end")
        ));
        outlined(&symbol["children"], depth + 1, out);
    }
}

/// The first offers, each with what stands beside it.
pub fn offers(answer: &Value) -> String {
    let offers = answer["items"].as_array().unwrap().iter().take(MOST_OFFERS);
    let one = |offer: &Value| {
        let label = offer["label"].as_str().unwrap();
        match offer["detail"].as_str() {
            Some(detail) => format!("{label} | {detail}"),
            None => label.to_owned(),
        }
    };
    offers.map(one).collect::<Vec<_>>().join("\n")
}

/// So many offers are shown, no more.
const MOST_OFFERS: usize = 8;

/// A call with its active argument marked.
pub fn signature(answer: &Value) -> String {
    let signature = &answer["signatures"][0];
    let label = signature["label"].as_str().unwrap();
    let active = answer["activeParameter"].as_u64().unwrap() as usize;
    let place = &signature["parameters"][active]["label"];
    let mut out = label.to_owned();
    if place.is_array() {
        out.insert(byte(label, &place[1]), '»');
        out.insert(byte(label, &place[0]), '«');
    }
    match signature["documentation"].as_str() {
        Some(says) => format!("{out} | {says}"),
        None => out,
    }
}

/// Lines with their words, each as `word:what`; the numbers are those of the legend.
pub fn colours(text: &str, answer: &Value) -> String {
    const WHAT: [&str; 10] = [
        "quantity",
        "function",
        "parameter",
        "unit",
        "number",
        "word",
        "sign",
        "label",
        "description",
        "comment",
    ];
    let numbers: Vec<u64> = answer["data"]
        .as_array()
        .unwrap()
        .iter()
        .map(|number| number.as_u64().unwrap())
        .collect();
    let (mut at, mut start) = (0, 0);
    let mut out: Vec<(u64, String)> = Vec::new();
    for token in numbers.chunks(5) {
        start = if token[0] == 0 {
            start + token[1]
        } else {
            token[1]
        };
        at += token[0];
        let found = line(text, &Value::from(at));
        let from = byte(&found, &Value::from(start));
        let to = byte(&found, &Value::from(start + token[2]));
        let word = format!(" {}:{}", &found[from..to], WHAT[token[3] as usize]);
        match out.last_mut() {
            Some((same, words)) if *same == at => words.push_str(&word),
            _ => out.push((at, word)),
        }
    }
    let shown = out.iter().map(|(at, words)| format!("{}:{words}", at + 1));
    shown.collect::<Vec<_>>().join("\n")
}

/// What is offered to be done, with the lines as they are afterwards; a star marks what is
/// preferred.
pub fn actions(text: &str, answer: &Value, address: &str) -> String {
    let one = |action: &Value| {
        let after = edited(text, &action["edit"]["changes"][address]);
        let star = if action["isPreferred"] == true {
            "*"
        } else {
            ""
        };
        let title = action["title"].as_str().unwrap();
        let kind = action["kind"].as_str().unwrap();
        format!("{title}{star} ({kind})\n{}", changed(text, &after))
    };
    let actions = answer.as_array().unwrap().iter();
    actions.map(one).collect::<Vec<_>>().join("\n")
}

/// A text after edits that do not overlap, given in order.
pub fn edited(text: &str, edits: &Value) -> String {
    let starts: Vec<usize> = std::iter::once(0)
        .chain(text.match_indices('\n').map(|(at, _)| at + 1))
        .collect();
    let offset = |position: &Value| {
        let number = position["line"].as_u64().unwrap() as usize;
        match starts.get(number) {
            Some(start) => start + byte(&line(text, &position["line"]), &position["character"]),
            None => text.len(),
        }
    };
    let mut out = text.to_owned();
    let mut edits: Vec<(usize, usize, &str)> = edits
        .as_array()
        .unwrap()
        .iter()
        .map(|edit| {
            let range = &edit["range"];
            let new = edit["newText"].as_str().unwrap();
            (offset(&range["start"]), offset(&range["end"]), new)
        })
        .collect();
    edits.sort_unstable();
    for (start, end, new) in edits.into_iter().rev() {
        out.replace_range(start..end, new);
    }
    out
}

/// The lines that differ, as they are afterwards.
pub fn changed(before: &str, after: &str) -> String {
    let lines = before.lines().zip(after.lines()).enumerate();
    let changed = lines.filter(|(_, (old, new))| old != new);
    let shown: Vec<String> = changed
        .map(|(at, (_, new))| format!("{}: {new}", at + 1))
        .collect();
    shown.join("\n")
}
