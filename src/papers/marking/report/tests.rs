use super::super::example;
use super::super::list::List;
use super::*;
use crate::text::Source;

fn of(front: &FrontMatter) -> Of<'_> {
    Of {
        front,
        title: "Hydraulics and statics, test 3",
    }
}

fn told(id: &str) -> Vec<String> {
    let marked = example::marked();
    let student = marked.students.iter().find(|it| &*it.id == id).unwrap();
    let sections = of_student(&marked, student);
    let words = sections.into_iter().map(|section| match section {
        Section::Words(of, words) => format!("{of} {words}").trim().to_owned(),
        other => panic!("{other:?}"),
    });
    words.collect()
}

#[test]
fn the_report_of_s08_says_what_agrees_and_what_is_right_with_it() {
    let expected = [
        "Marks: 21 of 26.",
        "1 (c) Rₓ = 970 N: 1 of 4. The right answer is 551 N upstream. Yours agrees with the \
         working but for one slip: the other sign of `p_1 A_1`; look at which way it acts.",
        "2 (a) B = 1.94 kN: 2 of 4. The right answer is 2.75 kN up. Yours agrees with the working \
         but for one slip: `G_b L/2` left out or next to nothing.",
        "2 (b) A = 5.95 kN: 2 of 2. Right with your B = 1.94 kN.",
        "2 (c) M = 7.42 kN m: 2 of 2. Right with your B = 1.94 kN.",
        "All else is right.",
    ];
    assert_eq!(told("s08"), expected);
    assert_eq!(told("s01"), ["Marks: 26 of 26.", "All is right."]);
    // Nobody is told whose sheet it may be.
    let copied = told("s13").join("\n");
    assert!(copied.contains("26 marks are open: a person looks at them."));
    assert!(
        !copied.contains("version") && !copied.contains("else"),
        "{copied}"
    );
    let blank = told("s16");
    assert_eq!(
        blank[1],
        "1 (a) V₂: 0 of 2. Nothing is written. The right answer is 17.4 m/s. 1 mark is open: a \
         person looks at your working."
    );
}

/// A report holds what one row holds: it stays as it is whatever the other rows are.
#[test]
fn a_report_does_not_change_with_other_students() {
    let marked = example::marked();
    let front = FrontMatter::default();
    for own in &marked.students {
        let page = student(&marked, own, of(&front));
        let alone = Marked {
            parts: marked.parts.clone(),
            students: vec![own.clone()],
        };
        assert_eq!(page, student(&alone, own, of(&front)), "{}", own.id);
        for other in marked.students.iter().filter(|it| it.id != own.id) {
            assert!(!page.contains(&format!(">{}<", other.id)));
            assert!(
                !page.contains(&format!("{} ", other.id)),
                "{} {}",
                own.id,
                other.id
            );
        }
    }
}

#[test]
fn the_table_has_a_row_for_each_student_in_the_order_of_the_list() {
    let marked = example::marked();
    let table = csv(&marked);
    let rows: Vec<&str> = table.lines().collect();
    assert_eq!(rows.len(), 18);
    assert!(rows[0].starts_with("id,version,1a marks,1a open,1a remark,1b marks,"));
    assert!(rows[0].ends_with(",3c remark,total,open"));
    assert_eq!(
        rows[8],
        "s08,0,2,0,,5,0,,1,0,slip,2,0,slip,2,0,carried,2,0,carried,3,0,,1,0,,3,0,,21,0"
    );
    let fields: Vec<usize> = rows.iter().map(|row| row.split(',').count()).collect();
    assert!(
        fields.iter().all(|count| *count == 2 + 27 + 2),
        "{fields:?}"
    );
    let totals = (rows.iter().skip(1)).map(|row| row.rsplitn(3, ',').take(2).collect::<Vec<_>>());
    let totals: Vec<String> = totals.map(|it| format!("{}+{}", it[1], it[0])).collect();
    assert_eq!(
        totals.join(" "),
        "26+0 26+0 24+0 25+0 26+0 19+4 21+0 21+0 25+0 20+2 6+9 19+6 0+26 26+0 22+4 9+10 20+5"
    );
}

#[test]
fn what_a_spreadsheet_would_run_begins_with_a_quote() {
    for text in ["=1+1", "+1", "-551 N", "@SUM(A1)", " =1+1", "\t=1"] {
        assert_eq!(harmless(text), format!("'{text}"));
    }
    assert_eq!(harmless("551 N"), "551 N");
    let mut marked = example::marked();
    marked.students[0].id = "=cmd".into();
    assert!(csv(&marked).lines().nth(1).unwrap().starts_with("'=cmd,0,"));
}

#[test]
fn markers_see_each_doubtful_answer_once_and_the_gravest_first() {
    let mut marked = example::marked();
    marked.students[9].answers[2].written = "<b>`-600` N & more</b>".into();
    let front = FrontMatter::default();
    let page = markers(&marked, of(&front));
    let groups = [
        "Answers of another version (9)",
        "Two routes (2)",
        "Two readings, or not understood (3)",
        "Open marks (11)",
        "Proposed marks (8)",
        ">Marks</h2>",
        ">Summary</h2>",
    ];
    let places: Vec<usize> = groups.iter().map(|it| page.find(it).expect(it)).collect();
    assert!(places.is_sorted(), "{places:?}");
    assert_eq!(page.matches("s08, 1 (c):").count(), 1);
    assert!(page.contains("s12, 1 (c): <code>-551 N upstream</code>"));
    assert!(page.contains("&lt;b&gt;'-600' N &amp; more&lt;/b&gt;") && !page.contains("<b>"));
    // Nothing runs, and nothing is fetched.
    for foreign in ["<script", "http:", "https:", "url(//", "<link"] {
        assert!(!page.contains(foreign), "{foreign}");
    }
    assert!(page.contains("Content-Security-Policy"));
    assert!(page.contains("2.65 to 3.47"));
    assert!(page.contains("17 students, median 21 to 25, mean 19.7 to 23.6, of 26."));
    assert!(page.contains("<th scope=\"row\">1a V₂</th>"));
}

#[test]
fn the_report_for_machines_has_what_was_found() {
    let marked = example::marked();
    let list = List {
        source: Source::new("answers.csv", ""),
        columns: Vec::new(),
        rows: Vec::new(),
        diagnostics: Vec::new(),
    };
    let units = vec!["m/s".to_owned(); 9];
    let text = json("test-3.md", &list, &marked, &units);
    let value: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(value["students"][7]["marks"], 21);
    let part = &value["students"][7]["parts"][2];
    assert_eq!(part["verdict"], "slip");
    assert_eq!(part["slip"]["class"], "sign");
    assert_eq!(part["slip"]["place"]["worksheet"], "fire-nozzle.md");
    assert_eq!(part["value"], serde_json::Value::Null);
    assert_eq!(value["summary"]["parts"][0]["full"], 11);
    assert_eq!(value["summary"]["totals"][9]["students"], 7);
}
