//! Accuracy classes and verdicts against the reference cases.

use faultwalk::instrument::{
    Accuracy, Instrument, Range, Verdict, false_accept_at_limit, global_risk, guarded_limit, judge, quantile,
    verdict_odds,
};
use faultwalk::quantity::Dimension;
use serde_json::Value;

fn reference() -> Value {
    let text = include_str!("../../fixtures/reference/diagnosis/e_conformity.json");
    serde_json::from_str(text).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("a number, not {value}"))
}

#[track_caller]
fn close(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{what}: found {found}, reference {expected}");
}

/// Every verdict of the file, its probabilities to 1e-12 (computed there with scipy's normal distribution).
#[test]
fn every_reference_verdict_is_reproduced() {
    let file = reference();
    let cases = file["verdicts"]["cases"].as_array().unwrap();
    for case in cases {
        let (y, u) = (number(&case["y"]), number(&case["u"]));
        let j = judge(y, u, case["TL"].as_f64(), case["TU"].as_f64());
        close("p_low", j.p_low, number(&case["p_low"]), 1e-12);
        close("p_in", j.p_within, number(&case["p_in"]), 1e-12);
        close("p_high", j.p_high, number(&case["p_high"]), 1e-12);
        let expected = match case["verdict_at_0.95"].as_str().unwrap() {
            "low" => Verdict::Low,
            "in" => Verdict::Within,
            "high" => Verdict::High,
            "undetermined" => Verdict::Undecided,
            other => panic!("verdict {other}"),
        };
        assert_eq!(j.verdict, expected, "{case}");
    }
    assert_eq!(cases.len(), 9);
}

/// Every published example of JCGM 106:2012 in the file. Closed forms to 1e-12; the two population risks to 1e-9, where
/// the reference itself is a numerical integral.
#[test]
fn every_published_conformity_example_is_reproduced() {
    let file = reference();
    let mut seen = 0;
    for case in file["cases"].as_array().unwrap() {
        let (id, i, c) = (case["id"].as_str().unwrap(), &case["inputs"], &case["computed"]);
        match id {
            "upper-limit-breakdown-voltage" | "lower-limit-burst-strength" | "two-sided" => {
                let j = judge(number(&i["y"]), number(&i["u"]), i["TL"].as_f64(), i["TU"].as_f64());
                close(id, j.p_within, number(&c["pc"]), 1e-12);
            }
            "radar-guarded-rejection" => {
                let v = guarded_limit(
                    number(&i["limit"]),
                    number(&i["relative_u"]),
                    number(&i["required_probability"]),
                );
                close(id, v, number(&c["vmax"]), 1e-10);
            }
            "ball-bearing-global-risk" => {
                // Gamma density of shape 4 and rate 4.
                let prior = |y: f64| 4.0_f64.powi(4) / 6.0 * y.powi(3) * (-4.0 * y).exp();
                let (tu, um) = (number(&i["TU"]), number(&i["um"]));
                let everywhere = f64::NEG_INFINITY;
                let risk = |limit| global_risk(prior, (0.0, 20.0), (0.0, tu), (everywhere, limit), um);
                let simple = risk(tu);
                close(id, 1.0 - simple.conforming, number(&c["p_out_of_tolerance"]), 1e-9);
                close(id, simple.consumer, number(&c["consumer_risk_simple_acceptance"]), 1e-9);
                close(id, simple.producer, number(&c["producer_risk_simple_acceptance"]), 1e-9);
                let guarded = risk(number(&c["acceptance_limit_for_0.1_percent"]));
                close(id, guarded.consumer, 0.001, 1e-9);
                close(id, guarded.producer, number(&c["producer_risk_at_that_limit"]), 1e-9);
            }
            "precision-resistor-global-risk" => {
                let (y0, u0) = (number(&i["y0"]), number(&i["u0"]));
                let prior = |y: f64| faultwalk::instrument::density((y - y0) / u0) / u0;
                let risk = global_risk(
                    prior,
                    (y0 - 12.0 * u0, y0 + 12.0 * u0),
                    (number(&i["TL"]), number(&i["TU"])),
                    (number(&i["AL"]), number(&i["AU"])),
                    number(&i["um"]),
                );
                close(id, risk.conforming, number(&c["prior_conformity"]), 1e-9);
                close(id, risk.consumer, number(&c["consumer_risk"]), 1e-9);
                close(id, risk.producer, number(&c["producer_risk"]), 1e-9);
            }
            "guard-band-factor" => {
                for row in c["table"].as_array().unwrap() {
                    let p = false_accept_at_limit(number(&row["guard_band_over_U_k2"]));
                    close(id, p, number(&row["specific_false_accept_at_limit"]), 1e-12);
                }
                close(id, false_accept_at_limit(0.8224), number(&c["r=0.8224"]), 1e-12);
                close("95 % of one side", quantile(0.95) / 2.0, 0.8224, 5e-5);
            }
            other => panic!("case '{other}' is not checked"),
        }
        seen += 1;
    }
    assert_eq!(seen, 7);
}

#[test]
fn every_reference_gauge_has_its_uncertainty() {
    let file = reference();
    let cases = file["gauge_to_u"]["cases"].as_array().unwrap();
    for case in cases {
        let range = Some(Range { low: 0.0, high: number(&case["span"]) });
        let accuracy = Accuracy::Span(number(&case["accuracy_percent_of_span"]));
        let gauge =
            Instrument::new("gauge", Dimension::Pressure, range, accuracy, number(&case["resolution"]))
                .unwrap();
        let reading = number(&case["reading"]);
        let u = gauge.uncertainty(reading);
        close("half-width", gauge.half_width(reading), number(&case["half_width"]), 1e-12);
        close("class", u.shared, number(&case["u_rectangular"]), 1e-12);
        close("resolution", u.own, number(&case["u_resolution"]), 1e-12);
        close("u", u.total(), number(&case["u"]), 1e-12);
        let share = 200.0 * u.total() / reading;
        close("share", share, number(&case["percent_of_reading_at_k2"]), 1e-12);
    }
    assert_eq!(cases.len(), 3);
}

#[test]
fn every_reference_likelihood_of_a_verdict_is_reproduced() {
    let file = reference();
    let block = &file["reading_likelihoods"];
    let (low, high) = (block["limits"][0].as_f64(), block["limits"][1].as_f64());
    let cases = block["cases"].as_array().unwrap();
    for case in cases {
        let u = number(&case["gauge_u"]);
        let (mean, sigma) = (number(&case["model_mean"]), number(&case["model_spread"]).hypot(u));
        let three = verdict_odds(mean, sigma, low, high, 0.0);
        for (i, found) in [three.low, three.within, three.high].into_iter().enumerate() {
            close("three", found, number(&case["three_way"][i]), 1e-12);
        }
        let four = verdict_odds(mean, sigma, low, high, 1.645 * u);
        for (i, found) in [four.low, four.within, four.high, four.undecided].into_iter().enumerate() {
            let key = "four_way_low_in_high_undetermined_guard_1.645u";
            close("four", found, number(&case[key][i]), 1e-12);
        }
    }
    assert_eq!(cases.len(), 4);
}

/// Every row of the table of classes, in each quarter of two scales, as the half-width the program uses.
#[test]
fn every_class_has_its_permissible_error() {
    let text = include_str!("../../fixtures/reference/gauge_accuracy.csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let accuracy: Accuracy = format!("{} {}", &row[0], &row[1]).parse().unwrap();
        let at = |column: usize| row[column].parse::<f64>().unwrap();
        let on = |high: f64, reading: f64| {
            Instrument::new(
                "gauge",
                Dimension::Pressure,
                Some(Range { low: 0.0, high }),
                accuracy,
                high / 100.0,
            )
            .unwrap()
            .half_width(reading)
        };
        for (column, share) in [(2, 0.1), (3, 0.5), (4, 0.9)] {
            close(&row[1], on(100.0, 100.0 * share), at(column), 1e-12);
            close(&row[1], on(100.0, 100.0 * share), at(column + 3), 1e-12);
        }
        close(&row[1], on(15.0, 1.5), at(8), 1e-12);
        close(&row[1], on(30.0, 15.0), at(9), 1e-12);
        let from_memory = row[10].starts_with("from memory");
        assert_eq!(accuracy.confirmation().contains("from memory"), from_memory, "{}", &row[1]);
        rows += 1;
    }
    assert_eq!(rows, 15);
}
