//! Quantity literals.

use super::*;

fn given_literal(text: &str) -> Literal {
    let Statement::Chain(chain) = line(BlockKind::Given, &format!("x = {text}")) else {
        panic!("{text}");
    };
    match &chain.members[1].kind {
        ExprKind::Quantity(literal) => (**literal).clone(),
        other => panic!("{text}: {other:?}"),
    }
}

#[test]
fn literals_of_every_form_are_read_in_given() {
    for (text, expected) in [
        ("25 mm", "25 mm"),
        ("1.2e5 Pa", "120000 Pa"),
        ("-3", "-3"),
        ("−3 °C", "-3 °C"),
        ("9.81 m/s^2", "9.81 m.s^-2"),
        ("4.18 kJ/(kg K)", "4.18 kJ.kg^-1.K^-1"),
        ("4.18 kJ/(kg·K)", "4.18 kJ.kg^-1.K^-1"),
        ("3 kJ/kg/K", "3 kJ.kg^-1.K^-1"),
        ("3/8 in", "3/8 in"),
        ("12°", "12 °"),
        ("5 %", "5 %"),
        ("12.5 mm²", "12.5 mm^2"),
        ("2 N m", "2 N.m"),
        ("2 N*m", "2 N.m"),
        ("2 N·m", "2 N.m"),
        ("5 1/s", "5 .s^-1"),
        ("5 /s", "5 .s^-1"),
        ("30 MPa m^(1/2)", "30 MPa.m^1/2"),
        ("2 (m/s)^2", "2 m^2.s^-2"),
        ("3 W/(m^2 °C)", "3 W.m^-2.°C^-1"),
        ("4 inH2O", "4 inH2O"),
        ("3 µm", "3 µm"),
        ("3 kΩ", "3 kΩ"),
        ("5 min", "5 min"),
        ("340 m", "340 m"),
        ("420 kPa gauge", "420 kPa Gauge"),
        ("240 kPa abs", "240 kPa Absolute"),
        ("10 degC difference", "10 degC Difference"),
        ("12 psig", "12 psig"),
        ("[1, 2, 5] mm", "[1,2,5] mm"),
        ("[1, -2]", "[1,-2]"),
        ("50.02 ± 0.04 mm", "50.02 mm ±0.04 k=1"),
        ("50.02 +/- 0.04 mm", "50.02 mm ±0.04 k=1"),
        ("(50.02 ± 0.04) mm", "50.02 mm ±0.04 k=1"),
        ("50.02 mm ± 0.04 mm", "50.02 mm ±0.04 k=1"),
        ("50.02(4) mm", "50.02 mm ±0.04 k=1"),
        ("5(2) mm", "5 mm ±2 k=1"),
        ("12.3 kPa ± 0.2 %", "12.3 kPa ±relative 0.002 k=1"),
        ("50.02(4) mm (k=2)", "50.02 mm ±0.04 k=2"),
        ("240 kPa abs ± 2 kPa (k=2)", "240 kPa Absolute ±2 k=2"),
    ] {
        assert_eq!(sketch_literal(&given_literal(text)), expected, "{text}");
    }
}
