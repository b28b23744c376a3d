use super::*;
use proptest::prelude::*;

fn facts() -> Facts {
    let texts = |all: &[&str]| Fact::Texts(all.iter().map(|it| (*it).to_owned()).collect());
    Facts::from([
        ("topic", Fact::Text("friction".to_owned())),
        ("topics", texts(&["friction", "pipes"])),
        ("level", Fact::Whole(2)),
        ("minutes", Fact::Decimal(7.5)),
        ("marks", Fact::Decimal(8.0)),
        ("title", Fact::Text("A \"wide\" \\pipe".to_owned())),
    ])
}

fn read(text: &str) -> Result<Condition, Box<Diagnostic>> {
    Condition::read(text, Span::new(0, text.len()))
}

fn held(text: &str) -> Held {
    read(text).expect(text).holds(&facts()).expect(text)
}

#[test]
fn conditions_hold_or_do_not() {
    let cases = [
        ("topic = \"friction\" and level <= 2", true),
        ("topic != \"friction\"", false),
        ("not topic = \"heat\"", true),
        ("not level = 2 or level = 2", true),
        ("not (level = 2 or level = 3)", false),
        ("not not level = 2", true),
        ("contains(topics, \"pipes\")", true),
        (
            "contains(topics, topic) and not contains(topics, \"heat\")",
            true,
        ),
        ("level = 1 or level = 2 and minutes > 10", false),
        ("(level = 1 or level = 2) and minutes < 10", true),
        ("minutes = 7.5", true),
        ("minutes ≤ 7.50", true),
        ("marks = 8", true),
        ("2 >= level", true),
        ("title = \"A\"", false),
    ];
    for (text, expected) in cases {
        let expected = if expected { Held::Yes } else { Held::No };
        assert_eq!(held(text), expected, "{text}");
    }
}

#[test]
fn a_fact_that_is_missing_is_told() {
    assert_eq!(held("parts > 1 or level = 2"), Held::Without(vec!["parts"]));
    let both = held("course = \"a\" and author = \"b\"");
    assert_eq!(both, Held::Without(vec!["author", "course"]));
}

#[test]
fn what_is_no_condition_is_refused_with_what_to_write() {
    let cases = [
        ("topc = \"friction\"", "topc", "`topic`"),
        ("level = 2.0", "2.0", "`2`"),
        ("level <= 2; true", ";", "one condition"),
        ("level == 2", "==", "`=`"),
        ("level = 2 && level = 3", "&&", "`and`"),
        ("level = 2 || level = 3", "||", "`or`"),
        ("!level = 2", "!", "`not`"),
        ("topic = 2", "topic = 2", "in quotes"),
        ("level = \"2\"", "level = \"2\"", "without quotes"),
        ("topic = friction", "friction", "`\"friction\"`"),
        ("topic < \"friction\"", "topic < \"friction\"", "`=`"),
        ("topics = \"pipes\"", "topics", "contains"),
        ("contains(topic, \"pipes\")", "topic", "contains(topics"),
        ("1 < level < 3", "<", "and"),
        ("level", "", "level <= 2"),
        ("true", "true", "`topic`"),
        ("level = ", "", "level <= 2"),
        ("(level = 2", "", "level <= 2"),
        ("level = 2)", ")", "level <= 2"),
        ("topic = 'friction'", "'", "double quotes"),
        ("topic = \"friction", "\"friction", "behind"),
        ("level = 1e3", "1e3", "digits"),
        ("level = -1", "-", "no fact is below 0"),
        (
            "level = 99999999999999999999",
            "99999999999999999999",
            "digits",
        ),
        ("", "", "level <= 2"),
    ];
    for (text, place, help) in cases {
        let found = read(text).expect_err(text);
        assert_eq!(found.code, Code::P13, "{text}");
        assert_eq!(
            found.span.of(text).trim(),
            place,
            "{text}: {}",
            found.message
        );
        let said = found.help.clone().unwrap_or_default();
        assert!(said.contains(help), "{text}: {said}");
    }
}

#[test]
fn length_and_depth_have_their_limits() {
    let deep = |count: usize| format!("{}level = 2{}", "(".repeat(count), ")".repeat(count));
    assert_eq!(held(&deep(MOST_BRACKETS)), Held::Yes);
    let found = read(&deep(MOST_BRACKETS + 1)).unwrap_err();
    assert!(
        found.message.contains("more than 20 brackets"),
        "{}",
        found.message
    );
    assert!(read(&format!("{}level = 2", "not ".repeat(21))).is_err());
    let long = format!("topic = \"{}\"", "a".repeat(MOST_BYTES));
    assert!(read(&long).unwrap_err().message.contains("at most 300"));
}

/// A condition, and whether it holds by plain logic.
fn conditions() -> impl Strategy<Value = (String, bool)> {
    let leaf = prop_oneof![
        (0..5_i64, 0..6_usize).prop_map(|(number, sign)| {
            let (sign, holds) = [
                ("=", 2 == number),
                ("!=", 2 != number),
                ("<", 2 < number),
                ("<=", 2 <= number),
                (">", 2 > number),
                (">=", 2 >= number),
            ][sign];
            (format!("level {sign} {number}"), holds)
        }),
        "[a-z\\\\é ]{0,4}".prop_map(|text| (format!("topic = \"{text}\""), false)),
        prop_oneof!["pipes", "heat"].prop_map(|text| {
            let holds = text == "pipes";
            (format!("contains(topics, \"{text}\")"), holds)
        }),
    ];
    leaf.prop_recursive(4, 12, 2, |inner| {
        prop_oneof![
            inner
                .clone()
                .prop_map(|(text, holds)| (format!("not ({text})"), !holds)),
            (inner.clone(), inner.clone())
                .prop_map(|((a, left), (b, right))| (format!("({a}) and ({b})"), left && right)),
            (inner.clone(), inner)
                .prop_map(|((a, left), (b, right))| (format!("({a}) or ({b})"), left || right)),
        ]
    })
}

proptest! {
    #[test]
    fn a_condition_means_what_plain_logic_says((text, holds) in conditions()) {
        if text.len() <= MOST_BYTES {
            let expected = if holds { Held::Yes } else { Held::No };
            prop_assert_eq!(held(&text), expected, "{}", text);
        }
    }

    #[test]
    fn no_text_makes_it_panic(text in "\\PC{0,60}") {
        if let Ok(condition) = read(&text) {
            let _ = condition.holds(&facts());
        }
    }

    #[test]
    fn what_is_nearly_a_condition_is_refused_at_its_place(
        parts in proptest::collection::vec(
            prop_oneof![
                "level", "topic", "topics", "=", "==", "<=", "!=", "!", ";", "and", "or", "not",
                "\\(", "\\)", "contains", ",", "2", "2\\.0", "\"friction\"", "\"", "&&", "é", "\\\\",
            ], 0..12,
        ),
    ) {
        let text = parts.join(" ");
        match read(&text) {
            // What is taken holds or does not, and cannot go wrong for a problem any more.
            Ok(condition) => {
                let found = condition.holds(&facts());
                prop_assert!(found.is_ok(), "{}: {:?}", text, found);
                // In quotes they are letters of a text.
                let outside: String = text.split('"').step_by(2).collect();
                prop_assert!(!outside.contains(';') && !outside.contains("=="), "{}", text);
            }
            Err(found) => {
                prop_assert!(found.span.end as usize <= text.len(), "{}", text);
                prop_assert!(found.help.is_some());
            }
        }
    }
}
