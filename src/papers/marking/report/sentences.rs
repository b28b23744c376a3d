//! What is said of an answer, in sentences.

use super::super::marked::{Answer, Marked, PartOf, Student, Verdict};

/// A text of a student between backticks, as it stands in a sentence.
pub fn quoted(written: &str) -> String {
    const MOST: usize = 60;
    let written = written.replace('`', "'");
    match written.chars().nth(MOST) {
        Some(_) => format!("`{}…`", written.chars().take(MOST).collect::<String>()),
        None => format!("`{written}`"),
    }
}

/// "Rₓ = 970 N"; the name alone of a blank.
pub fn named(part: &PartOf, answer: &Answer) -> String {
    let written = answer.written.replace('`', "'");
    match (&*written, answer.verdict) {
        ("", _) | (_, Verdict::Blank) => part.printed.clone(),
        // Who wrote a sign of equality wrote a name, or none.
        (written, _) if written.contains('=') => written.trim_start_matches('=').trim().to_owned(),
        (written, _) => format!("{} = {written}", part.printed),
    }
}

/// What a marker is told of an answer that is to be looked at.
pub fn for_markers(answer: &Answer, part: &PartOf) -> String {
    let mut out = match &*answer.written {
        "" => "nothing".to_owned(),
        written => quoted(written),
    };
    if let Some(read) = &answer.read_as {
        out.push_str(&format!(" read as {read}"));
    }
    out.push_str(&format!("; right is {}", answer.right));
    if let Some(version) = answer.other_version {
        out.push_str(&format!("; it is the answer of version {version}"));
    }
    if let Some(slip) = &answer.slip {
        out.push_str(&format!(
            "; agrees with the working but for one slip: {}",
            slip.text
        ));
    }
    for remark in &answer.remarks {
        out.push_str("; ");
        out.push_str(remark.trim_end_matches('.'));
    }
    out.push_str(&format!(". {} of {}", answer.marks, part.of));
    if answer.open > 0 {
        out.push_str(&format!(", {} open", answer.open));
    }
    if answer.is_proposed {
        out.push_str(" proposed");
    }
    out.push('.');
    out
}

/// What a student is told of one of the answers.
pub fn for_student(marked: &Marked, student: &Student, at: usize) -> String {
    let (Some(part), Some(answer)) = (marked.parts.get(at), student.answers.get(at)) else {
        return String::new();
    };
    let with = || with(marked, student, at, &answer.carried);
    let right = format!("The right answer is {}.", answer.right);
    let mut said = match answer.verdict {
        Verdict::Right => String::new(),
        Verdict::Carried => format!("Right with your {}.", with()),
        Verdict::Rounded => format!("{right} Yours is rounded too far."),
        Verdict::Direction => format!("{right} Yours has the other direction."),
        Verdict::Slip => match &answer.slip {
            Some(slip) => {
                let hint = hint(slip.class).map_or(String::new(), |hint| format!("; {hint}"));
                format!(
                    "{right} Yours agrees with the working but for one slip: {}{hint}.",
                    slip.text
                )
            }
            None => right,
        },
        Verdict::SlipAgain => "Right with your slip above.".to_owned(),
        Verdict::Wrong => right,
        Verdict::Unit => {
            format!("{right} The number is right in this unit, and yours is of another kind.")
        }
        Verdict::Blank => format!("Nothing is written. {right}"),
        Verdict::ByHand if answer.marks == part.of => "Marked by a person.".to_owned(),
        Verdict::ByHand => format!("{right} Marked by a person."),
        Verdict::ToBeRead | Verdict::OtherVersion | Verdict::TwoRoutes => {
            "A person looks at this answer.".to_owned()
        }
    };
    // Why a mark is lost of an answer that is right says what it was read from.
    if matches!(answer.verdict, Verdict::Right | Verdict::Carried) && answer.marks < part.of {
        for remark in &answer.remarks {
            let remark = remark.trim_end_matches('.');
            let mut letters = remark.chars();
            let first = letters.next().map(|it| it.to_uppercase().to_string());
            said.push_str(&format!(
                " {}{}.",
                first.unwrap_or_default(),
                letters.as_str()
            ));
        }
    }
    let is_told = matches!(
        answer.verdict,
        Verdict::ToBeRead | Verdict::OtherVersion | Verdict::TwoRoutes
    );
    match answer.open {
        0 => {}
        _ if is_told => {}
        1 => said.push_str(" 1 mark is open: a person looks at your working."),
        open => said.push_str(&format!(
            " {open} marks are open: a person looks at your working."
        )),
    }
    said.trim_start().to_owned()
}

/// "B = 1.94 kN": what was carried, with the student's own answers.
fn with(marked: &Marked, student: &Student, at: usize, carried: &[String]) -> String {
    let question = marked.parts.get(at).map(|part| part.question);
    let all = carried.iter().map(|name| {
        let mut before = marked.parts.iter().zip(&student.answers).take(at);
        let own = before.find(|(it, _)| Some(it.question) == question && it.name == *name);
        match own {
            Some((part, answer)) => named(part, answer),
            None => format!("`{name}`"),
        }
    });
    let all: Vec<String> = all.collect();
    match all.is_empty() {
        true => "own numbers".to_owned(),
        false => crate::text::listed(&all),
    }
}

/// Where a student looks who has made a slip of a kind.
fn hint(class: &str) -> Option<&'static str> {
    match class {
        "sign" => Some("look at which way it acts"),
        "prefix" | "answer" => Some("look at the prefixes of the units"),
        "angle" => Some("look at the unit of the angle"),
        "pressure" => Some("look at what the pressure counts from"),
        "temperature" => Some("look at what the temperature counts from"),
        "turning" => Some("look at the unit of the speed of turning"),
        _ => None,
    }
}
