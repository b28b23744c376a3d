//! `setsquare tables`: tables as files of separated values.

use super::desk::{Desk, bad};

const SWINGS: &str = "# Swings\n\n```data swings\nl_i / mm | t_i / mm:ss | note\n\
    287 | 0:21.9 | \n388 | - | a, \"b\"\n487.50 | 1:28 | draught\n\n\
    l_i ± 1.0 mm\nleave out row 3 -- draught\n```\n\n\
    ```work\nL_i = l_i + 2 mm = ? m\nl = mean(l_i) = ? mm\n```\n";

const WRITTEN: &str = "row,l_i / mm,u(l_i) / mm,t_i / mm:ss,note,L_i / m,u(L_i) / m,left out\r\n\
    1,287,1,0:21.9,,0.289,0.001,\r\n\
    2,388,1,-,\"a, \"\"b\"\"\",0.39,0.001,\r\n\
    3,487.50,-,1:28,draught,-,-,draught\r\n";

#[test]
fn a_table_is_written_with_what_is_computed_from_it() {
    let desk = Desk::with(&[("a.md", SWINGS)]);
    desk.run(&["tables", "a.md", "-o", "out"])
        .ends_with(0)
        .says("a.md: no errors; written: swings.csv\n");
    assert_eq!(desk.read("out/swings.csv"), WRITTEN);
    // It is read as a table again.
    desk.write(
        "out/b.md",
        b"```data again\nfile \"swings.csv\"\nL_i / m = column \"L_i / m\"\n\
        t_i / mm:ss = column \"t_i / mm:ss\"\nwhy = column \"left out\"\n\
        leave out where why = \"draught\" -- as before\n```\n\n\
        ```work\nL = mean(L_i) = ? m\n```\n",
    );
    desk.run(&["check", "out/b.md"]).ends_with(0);
}

#[test]
fn tables_of_one_label_and_of_several_worksheets_have_files_of_their_own() {
    let two = SWINGS.to_owned() + "\n" + &SWINGS.replace("# Swings", "# Again");
    let desk = Desk::with(&[("a.md", &two), ("b.md", SWINGS), ("c.md", "# None\n")]);
    desk.run(&["tables", "a.md", "b.md", "c.md", "-o", "out"])
        .ends_with(0);
    assert_eq!(desk.read("out/a/swings.csv"), WRITTEN);
    assert_eq!(desk.read("out/a/swings 2.csv"), WRITTEN);
    assert_eq!(desk.read("out/b/swings.csv"), WRITTEN);
    assert!(!desk.exists("out/c"));
}

#[test]
fn errors_are_told_and_the_folder_has_to_be_named() {
    let desk = Desk::with(&[("a.md", &(SWINGS.to_owned() + &bad()))]);
    desk.run(&["tables", "a.md", "-o", "out"]).ends_with(1);
    assert_eq!(desk.read("out/swings.csv"), WRITTEN);
    desk.run(&["tables", "a.md"]).ends_with(2);
}

#[test]
fn long_lists_are_told_in_full_where_that_is_asked() {
    let rows: String = (0..10_001).map(|row| format!("{row}\n")).collect();
    let text = format!("```data long\nx_i / mm\n{rows}```\n\n```work\ny_i = 2 x_i = ? mm\n```\n");
    let desk = Desk::with(&[("a.md", &text)]);
    let report = |arguments: &[&str]| -> serde_json::Value {
        let run = desk.run(arguments).ends_with(0);
        serde_json::from_str::<serde_json::Value>(&run.out).unwrap()[0].clone()
    };
    let short = report(&["check", "--json", "a.md"]);
    assert!(short["tables"][0]["columns"][0]["values"].is_null());
    assert_eq!(short["tables"][0]["rows"], 10_001);
    assert!(short["results"][0]["value"].is_null());
    let full = report(&["check", "--json", "--full", "a.md"]);
    assert_eq!(full["tables"][0]["columns"][0]["values"][10_000], 10_000.0);
    assert_eq!(full["results"][0]["value"][10_000], 20_000.0);
    desk.run(&["check", "--full", "a.md"]).ends_with(2);
}
