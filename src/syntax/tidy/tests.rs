use super::*;

fn tidied(kind: BlockKind, text: &str) -> String {
    let mut start = 0;
    let lines: Vec<Span> = text
        .split('\n')
        .map(|line| {
            let span = Span::new(start, start + line.len());
            start += line.len() + 1;
            span
        })
        .collect();
    let mut out = text.to_owned();
    for edit in tidy_block(kind, text, &lines).into_iter().rev() {
        out.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.text);
    }
    out
}

fn check(kind: BlockKind, text: &str, expected: &str) {
    let once = tidied(kind, text);
    assert_eq!(once, expected);
    assert_eq!(tidied(kind, &once), once, "not idempotent: {text}");
}

#[test]
fn equals_signs_and_descriptions_of_neighbours_stand_in_columns() {
    check(
        BlockKind::Given,
        "D_1=600 mm -- above   the bend\n  theta =   35 deg   # steep\nQ = 0.850 m^3/s— flow\n\nrho=999 kg/m^3 -- water",
        "D_1   = 600 mm    -- above   the bend\ntheta = 35 deg    # steep\nQ = 0.850 m^3/s— flow\n\nrho = 999 kg/m^3    -- water",
    );
}

#[test]
fn one_blank_stands_around_equals_signs_and_signs_between_terms() {
    check(
        BlockKind::Work,
        "A=pi D_1^2/4+2*L  -x=  ?   m^2",
        "A = pi D_1^2/4 + 2*L - x = ? m^2",
    );
    check(BlockKind::Work, "A = a * b  /c", "A = a * b / c");
    check(BlockKind::Work, "A = a ^ 2 - -b", "A = a^2 - -b");
    check(BlockKind::Derive, "a: x+(n-1) y =-z", "a: x + (n-1) y = -z");
    check(BlockKind::Derive, "x = (n -1)", "x = (n - 1)");
    check(BlockKind::Work, "x = f( a ,b )", "x = f(a, b)");
}

#[test]
fn what_groups_or_means_something_stays() {
    for line in [
        "A = pi D_1^2/4 = ? m^2",
        "q = 12.5 kJ/(kg K) m = ? kJ",
        "x = 1e-3 m + 2.5e-3 m = -19.0 kN? to 3 figures",
        "x = |a|-|b| = ?",
        "P = ? kW at Q = 40 L/s, H = 3 m",
        "y = V_2.x sin (theta) = ?",
        "x = ? from low-head near 0.02",
    ] {
        check(BlockKind::Work, line, line);
    }
    let line = "R = ? kN (+ down-stream, - up)    -- a  b--c   d";
    check(BlockKind::Required, line, line);
}

#[test]
fn lines_that_cannot_be_read_stay_and_part_their_neighbours() {
    check(
        BlockKind::Given,
        "a=1 m\n  lo ng =  = 2 \nbcd=3 m",
        "a = 1 m\n  lo ng =  = 2 \nbcd = 3 m",
    );
}

#[test]
fn a_sign_that_would_join_the_line_above_is_not_moved() {
    let text = "  x<2\n  -c < = d";
    check(BlockKind::Check, text, text);
}

#[test]
fn a_statement_goes_on_under_its_right_side() {
    check(
        BlockKind::Work,
        "A=b\n + c  -- two\n= ? m\nlong = 3 a",
        "A    = b\n       + c    -- two\n     = ? m\nlong = 3 a",
    );
    check(
        BlockKind::Derive,
        "f = cases(64/Re for Re<2300,\nf_t   otherwise\n)",
        "f = cases(64/Re for Re < 2300,\n          f_t otherwise\n    )",
    );
    check(
        BlockKind::Derive,
        "bal: p_1 A_1\n + x\n = y",
        "bal: p_1 A_1\n    + x\n    = y",
    );
}

#[test]
fn wide_left_sides_and_wide_statements_move_no_others() {
    check(
        BlockKind::Work,
        "Delta_T_maximum_of_all = a\nb=c",
        "Delta_T_maximum_of_all = a\nb = c",
    );
    let wide = format!("a = {} -- wide\nb = c -- short", ["x"; 40].join(" "));
    let expected = format!("a = {}  -- wide\nb = c    -- short", ["x"; 40].join(" "));
    check(BlockKind::Work, &wide, &expected);
}

#[test]
fn equations_keep_their_places() {
    let text = "balance: R_x + p_1 A_1 = mdot (V_2 - V_1)\ntherefore R_x = mdot (V_2 - V_1) - p_1 A_1\nF = S e";
    check(BlockKind::Derive, text, text);
}

#[test]
fn comments_and_blank_lines_stay() {
    check(
        BlockKind::Given,
        "  #  a   b  \n\t\na = 1 m",
        "#  a   b\n\na = 1 m",
    );
}

#[test]
fn bars_of_a_table_stand_under_each_other() {
    check(
        BlockKind::Data,
        "-- Twenty  swings\nl_i / mm|t_i / s| note\n287 |21.90|\n 1388|25.41 ± 0.05 | draught,  door open # why\n-| - |x\n",
        "-- Twenty  swings\nl_i / mm | t_i / s      | note\n287      | 21.90        |\n1388     | 25.41 ± 0.05 | draught,  door open  # why\n-        | -            | x\n",
    );
}

#[test]
fn what_is_said_of_columns_stands_under_each_other() {
    check(
        BlockKind::Data,
        "| l_i / mm | T_1_i / degC |\n|:--|---:|\n| 2 | 30.5 |\n\nl_i±1.0 mm -- thread\nT_1_i   ± 0.05 K   ± 0.5 K common -- bath\nleave out row 3    -- draught\nno reading \"NaN\"",
        "| l_i / mm | T_1_i / degC |\n| :------- | -----------: |\n| 2        | 30.5         |\n\nl_i   ± 1.0 mm                     -- thread\nT_1_i ± 0.05 K   ± 0.5 K common    -- bath\nleave out row 3 -- draught\nno reading \"NaN\"",
    );
    check(
        BlockKind::Data,
        "file \"log.csv\"\n  separated by semicolons\nt_i / s = column \"Time [s]\"\np_i / kPa gauge=column \"P 1\" -- ahead\nnote = column 3\n\np_i ± 0.2 kPa -- noise",
        "file \"log.csv\"\nseparated by semicolons\nt_i / s         = column \"Time [s]\"\np_i / kPa gauge = column \"P 1\"    -- ahead\nnote            = column 3\n\np_i ± 0.2 kPa    -- noise",
    );
}

#[test]
fn a_table_that_cannot_be_read_says_the_same_when_it_is_tidy() {
    check(
        BlockKind::Data,
        "a_i|b_i\n1|2|3\n4|5",
        "a_i | b_i\n1|2|3\n4   | 5",
    );
    check(BlockKind::Data, "\n  \n", "\n\n");
}
