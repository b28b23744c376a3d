//! The worked examples of JCGM 100 that begin with rows of readings, and those of JCGM 101 whose
//! distribution is not that of first order.
//!
//! Values are those of `uncertainty.json`, which says how each was had; `digits` is how many of them
//! have to come out.

use serde_json::Value;

use super::report::{cases, list, report, text};

fn case(id: &str) -> Value {
    let mut all = cases("uncertainty.json").into_iter();
    all.find(|case| text(case, "id") == id).expect(id)
}

/// What a case expects of a symbol.
fn expected(case: &Value, symbol: &str, key: &str) -> f64 {
    let mut all = list(case, "expected").iter();
    let own = all.find(|it| text(it, "symbol") == symbol).expect(symbol);
    text(own, key).parse().expect("a number")
}

fn result(report: &Value, name: &str, key: &str) -> f64 {
    let mut results = list(report, "results").iter();
    let own = results.find(|it| text(it, "name") == name).expect(name);
    own[key].as_f64().expect(key)
}

/// Rows of a file, bars between their fields.
fn rows(case: &Value) -> String {
    let path = format!(
        "{}/tests/reference/{}",
        env!("CARGO_MANIFEST_DIR"),
        text(case, "data")
    );
    let file = std::fs::read_to_string(path).expect("the data");
    let rows = file.lines().skip(1).map(|row| row.replace(',', " | "));
    rows.collect::<Vec<String>>().join("\n")
}

fn assert_digits(digits: i32, what: &str, found: f64, wanted: f64) {
    let off = (found - wanted).abs() / wanted.abs();
    assert!(off < 10_f64.powi(-digits), "{what}: {found}, not {wanted}");
}

/// H.2: three quantities that were read together, and three results that correlate.
#[test]
fn simultaneous_readings_correlate_as_published() {
    let case = case("unc-04");
    let found = report(
        "h2",
        &format!(
            "```data runs\nU_i / V | J_i / mA | phi_i / rad\n{}\n\nU_i, J_i, phi_i read together\n```\n\n\
             ```work\nU = repeated(U_i) = ? V\nJ = repeated(J_i) = ? A\nphi = repeated(phi_i) = ? rad\n\
             R = (U/J) cos(phi) = ? ohm\nX = (U/J) sin(phi) = ? ohm\nZ = U/J = ? ohm\n\
             r_1 = correlation(R, X) = ?\nr_2 = correlation(R, Z) = ?\nr_3 = correlation(X, Z) = ?\n\
             n = degrees_of_freedom(R) = ?\n```\n",
            rows(&case)
        ),
    );
    for name in ["R", "X", "Z"] {
        assert_digits(
            12,
            name,
            result(&found, name, "value"),
            expected(&case, name, "value"),
        );
        let size = expected(&case, name, "std_uncertainty");
        assert_digits(12, name, result(&found, name, "uncertainty"), size);
    }
    for (name, pair) in [
        ("r_1", ["R", "X"]),
        ("r_2", ["R", "Z"]),
        ("r_3", ["X", "Z"]),
    ] {
        let mut all = list(&case, "expected_correlations").iter();
        let own = all
            .find(|it| it[0] == pair[0] && it[1] == pair[1])
            .expect(name);
        let wanted: f64 = own[2]
            .as_str()
            .expect("a number")
            .parse()
            .expect("a number");
        assert_digits(12, name, result(&found, name, "value"), wanted);
    }
    // Means of the same five rows are one source.
    assert_digits(12, "n", result(&found, "n", "value"), 4.0);
}

/// H.3: a line through eleven corrections, with its predicted value at 30 °C.
#[test]
fn a_calibration_line_predicts_as_published() {
    let case = case("unc-07");
    let found = report(
        "h3",
        &format!(
            "```data thermometer\nt_i / degC | b_i / K\n{}\n```\n\n```given\nt_0 = 20 degC\nt_p = 30 degC\n```\n\n\
             ```fit line\nb_i = y_1 + y_2 (t_i - t_0)\ny_1 = ? K\ny_2 = ?\n```\n\n\
             ```work\nb_30 = y_1 + y_2 (t_p - t_0) = ? K\nr = correlation(y_1, y_2) = ?\n```\n",
            rows(&case)
        ),
    );
    for (name, theirs) in [("y_1", "y1"), ("y_2", "y2"), ("b_30", "b30")] {
        assert_digits(
            12,
            name,
            result(&found, name, "value"),
            expected(&case, theirs, "value"),
        );
        let size = expected(&case, theirs, "std_uncertainty");
        assert_digits(12, name, result(&found, name, "uncertainty"), size);
    }
    assert_digits(
        12,
        "r",
        result(&found, "r", "value"),
        expected(&case, "r12", "value"),
    );
    let deviation = found["fits"][0]["residual_deviation"]
        .as_f64()
        .expect("a number");
    assert_digits(12, "s", deviation, expected(&case, "s", "value"));
}

/// JCGM 101, 9.3: first order 0.0539 mg, with the terms of second order 0.0750 mg, by trials
/// 0.0754 mg.
#[test]
fn a_mass_in_air_is_spread_as_trials_say() {
    let case = case("unc-20");
    let found = report(
        "mass",
        "```given\nm_r = 100000 ± 0.050 mg\ndm_r = 1.234 ± 0.020 mg\n\
         rho_a = 1.20 kg/m^3 ± 0.10 kg/m^3 (rectangular)\nrho_w = 8000 kg/m^3 ± 1000 kg/m^3 (rectangular)\n\
         rho_r = 8000 kg/m^3 ± 50 kg/m^3 (rectangular)\nrho_0 = 1.2 kg/m^3\nm_n = 100000 mg\n```\n\n\
         ```work\ndm = (m_r + dm_r) (1 + (rho_a - rho_0) (1/rho_w - 1/rho_r)) - m_n = ? mg\n```\n\n\
         ```check\nmonte carlo of dm with 1e6 trials\n```\n",
    );
    assert_digits(12, "dm", result(&found, "dm", "value"), 1.234);
    let first = expected(&case, "dm", "std_uncertainty");
    assert_digits(11, "u(dm)", result(&found, "dm", "uncertainty"), first);
    let said = list(&found, "diagnostics").iter();
    let told: Vec<&str> = said
        .filter(|it| text(it, "code") == "U04")
        .map(|it| text(it, "message"))
        .collect();
    let second = format!("second order {:.3} mg", expected(&case, "u_guf2", "value"));
    assert!(
        told.len() == 1 && told[0].contains(&second),
        "{told:?} {second}"
    );
    let trials = &found["trials"][0];
    // In kg; what the file has is in mg.
    let own = 1e6 * trials["uncertainty"].as_f64().expect("a number");
    let wanted = expected(&case, "u_mc", "value");
    assert!((own / wanted - 1.0).abs() < 0.005, "{own} {wanted}");
    for (at, end) in ["lo_mc", "hi_mc"].into_iter().enumerate() {
        let own = 1e6 * trials["symmetric"][at].as_f64().expect("a number");
        let wanted = expected(&case, end, "value");
        assert!((own - wanted).abs() < 0.003, "{own} {wanted}");
    }
}

/// JCGM 101, 9.4: the sum of two squares, of which one is 0.
#[test]
fn a_comparison_loss_is_spread_as_its_moments_say() {
    for (id, x) in [("unc-22", "0.010"), ("unc-23", "0.050")] {
        let case = case(id);
        let found = report(
            id,
            &format!(
                "```given\nx_1 = {x} ± 0.005\nx_2 = 0.000 ± 0.005\n```\n\n```work\ny = x_1^2 + x_2^2 = ?\n```\n\n\
                 ```check\nmonte carlo of y with 1e6 trials\n```\n"
            ),
        );
        let size = expected(&case, "Y", "std_uncertainty");
        assert_digits(12, id, result(&found, "y", "uncertainty"), size);
        let trials = &found["trials"][0];
        for (own, theirs) in [("mean", "mean_mc"), ("uncertainty", "u_mc")] {
            let own = trials[own].as_f64().expect("a number");
            let wanted = expected(&case, theirs, "value");
            assert!((own / wanted - 1.0).abs() < 0.005, "{id}: {own} {wanted}");
        }
    }
}

/// The same with parts that correlate by 0.9. At a stationary point second order is all there is.
#[test]
fn a_comparison_loss_of_correlated_parts_is_spread_as_its_moments_say() {
    for case in cases("losses.json") {
        let x = text(&case, "x1");
        let found = report(
            x,
            &format!(
                "```given\nx_1 = {x} ± 0.005\nx_2 = 0.000 ± 0.005\ncorrelation(x_1, x_2) = 0.9\n```\n\n\
                 ```work\ny = x_1^2 + x_2^2 = ?\n```\n\n```check\nmonte carlo of y with 1e6 trials\n```\n"
            ),
        );
        let wanted = |key: &str| case[key].as_f64().expect(key);
        let trials = &found["trials"][0];
        for key in ["mean", "uncertainty"] {
            let own = trials[key].as_f64().expect(key);
            assert!((own / wanted(key) - 1.0).abs() < 0.005, "{x} {key}: {own}");
        }
        for end in [0, 1] {
            let own = trials["symmetric"][end].as_f64().expect("an end");
            let off = own - case["symmetric"][end].as_f64().expect("an end");
            assert!(off.abs() < 0.01 * wanted("uncertainty"), "{x} {end}: {own}");
        }
        // As the standard rounds it.
        let printed = wanted("printed, from memory");
        assert!((wanted("uncertainty") - printed).abs() < 0.51e-6);
        if x == "0.000" {
            let size = result(&found, "y", "uncertainty");
            assert_digits(9, "u(y)", size, wanted("uncertainty"));
        }
    }
}
