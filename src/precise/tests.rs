//! Precise numbers held against known digits.

use super::*;
use crate::functions::Function;

fn number(text: &str) -> Precise {
    Precise::rational(decimal(text).expect(text)).with_bits(LEVELS[0])
}

/// Whether a number lies around these digits to their last place.
fn is_near(found: &Precise, digits: &str) -> bool {
    let expected = decimal(digits).expect(digits);
    let place = digits.split_once('.').map_or(0, |(_, after)| after.len());
    let room = Rational::new(1.into(), num_traits::pow(IBig::from(10), place));
    found.is_narrow(150)
        && found.ends().is_some_and(|[low, high]| {
            (low - &expected).abs() <= room && (high - expected).abs() <= room
        })
}

#[test]
fn functions_have_the_digits_of_another_library() {
    // From mpmath 1.3.0 with 60 digits.
    let cases = [
        (
            Function::Erf,
            "0.5",
            "0.5204998778130465376827466538919645287364515757579637",
        ),
        (
            Function::Erf,
            "6",
            "0.9999999999999999784802632875010868834066496008126154",
        ),
        (
            Function::Gamma,
            "4.5",
            "11.63172839656744892914422410942626526210891830580317",
        ),
        (
            Function::Gamma,
            "-1.5",
            "2.363271801207354703064223311121526910396732608163183",
        ),
        (
            Function::Gamma,
            "0.1",
            "9.513507698668731836292487177265402192550578626088377",
        ),
        (
            Function::Exp,
            "1",
            "2.71828182845904523536028747135266249775724709369996",
        ),
        (
            Function::Ln,
            "2",
            "0.69314718055994530941723212145817656807550013436025",
        ),
        (
            Function::Sin,
            "1e5",
            "0.0357487979720165093164705006958088290090456925781089",
        ),
        (
            Function::Cbrt,
            "2",
            "1.25992104989487316476721060727822835057025146470150",
        ),
        (
            Function::Tanh,
            "0.5",
            "0.46211715726000975850231848364367254873028928033011",
        ),
    ];
    for (function, argument, digits) in cases {
        let found = Precise::call(function, &[number(argument)]);
        assert!(
            is_near(&found, digits),
            "{function:?}({argument}): {found:?}"
        );
    }
    let bessel = |order, x| Precise::call(Function::Bessel, &[Precise::whole(order), number(x)]);
    assert!(is_near(
        &bessel(0, "1"),
        "0.7651976865579665514497175261026632209092742897553252"
    ));
    assert!(is_near(
        &bessel(3, "-40"),
        "0.1261448155058208031649278817991198244442595554685423"
    ));
}

#[test]
fn the_well_known_values_are_exact() {
    let degrees = |n: i64| {
        let turn = Rational::new(n.into(), 180.into());
        Precise::pi().times(&Precise::rational(turn))
    };
    let is = |found: Precise, above: i64, below: i64| {
        assert_eq!(
            found.as_rational(),
            Some(&Rational::new(above.into(), below.into()))
        );
    };
    is(Precise::call(Function::Sin, &[degrees(30)]), 1, 2);
    is(Precise::call(Function::Cos, &[degrees(90)]), 0, 1);
    is(Precise::call(Function::Tan, &[degrees(-45)]), -1, 1);
    let root = Precise::call(Function::Sqrt, &[number("2")]);
    is(root.times(&root), 2, 1);
    let sixty = Precise::call(Function::Cos, &[degrees(30)]);
    is(sixty.times(&sixty), 3, 4);
    is(Precise::call(Function::Log10, &[number("0.001")]), -3, 1);
    is(
        Precise::call(Function::Atan, &[number("1")]).over(&Precise::pi()),
        1,
        4,
    );
    is(number("8").power(&number("1").over(&number("3"))), 2, 1);
    is(Precise::call(Function::Gamma, &[number("5")]), 24, 1);
    is(
        number("0.1").plus(&number("0.2")).minus(&number("0.3")),
        0,
        1,
    );
}

#[test]
fn what_the_last_level_does_not_tell_apart_counts_as_one() {
    let log = |bits, text| Precise::call(Function::Ln, &[number(text).with_bits(bits)]);
    let off = |bits| {
        log(bits, "2")
            .plus(&log(bits, "3"))
            .compare(&log(bits, "6"))
    };
    assert_eq!(off(LEVELS[0]), None);
    assert_eq!(off(LAST), Some(Ordering::Equal));
    let whole = |bits| Precise::call(Function::Exp, &[log(bits, "3")]).floor();
    assert_eq!(whole(LEVELS[0]), None);
    assert_eq!(whole(LAST), Some(IBig::from(3)));
}

#[test]
fn what_cancels_is_found_with_more_bits() {
    let small = number("1e-8");
    let one = Precise::whole(1);
    let found = one.minus(&Precise::call(Function::Cos, std::slice::from_ref(&small)));
    let found = found.over(&small.times(&small));
    assert_eq!(format!("{:.15}", found.to_f64().0), "0.500000000000000");
}
