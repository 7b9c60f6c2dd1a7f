//! Every case of the reference files on diagnosis, reproduced to 1e-9.

use faultwalk::table::{
    Evidence, Plan, RepairAction, SharedRepair, Table, best_order, best_prefix, by_ratio, cost_bound,
    cost_of_order, diagnoses, entropy_bits, huffman_length, minimal_diagnoses, noisy_cost, observation_value,
    probe_entropy_change, weigh, worst_order,
};
use serde_json::Value;

macro_rules! reference {
    ($name:literal) => {
        serde_json::from_str::<Value>(include_str!(concat!("../../fixtures/reference/diagnosis/", $name)))
            .unwrap()
    };
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("a number, not {value}"))
}

fn texts(value: &Value) -> Vec<&str> {
    value.as_array().unwrap().iter().map(|v| v.as_str().unwrap()).collect()
}

#[track_caller]
fn close(what: &str, found: f64, expected: &Value) {
    let expected = number(expected);
    assert!((found - expected).abs() <= 1e-9, "{what}: found {found}, reference {expected}");
}

fn table(value: &Value) -> Table {
    let (table, remarks) = Table::from_json(&value.to_string()).unwrap();
    assert!(remarks.is_empty(), "{remarks:?}");
    table
}

/// Posterior, entropy, P(evidence), predictive odds and ranking of one query; the number of values compared.
fn check_query(what: &str, table: &Table, query: &Value) -> usize {
    let pieces: Vec<String> = query["evidence"]
        .as_object()
        .unwrap()
        .iter()
        .map(|(test, outcome)| format!("{test}={}", outcome.as_str().unwrap()))
        .collect();
    let evidence = Evidence::parse(table, &pieces).unwrap();
    let after = table.posterior(&evidence).unwrap();
    let mut values = 2;
    close(what, after.log_evidence.exp(), &query["evidence_probability"]);
    close(what, after.entropy_bits, &query["entropy_bits"]);
    for (fault, p) in query["posterior"].as_object().unwrap() {
        close(what, after.p[table.fault(fault).unwrap()], p);
        values += 1;
    }
    let ranking = table.ranking(&after.p, &evidence);
    let expected = query["ranking"].as_array().unwrap();
    assert_eq!(ranking.tests.len(), expected.len(), "{what}: tests left");
    for (found, row) in ranking.tests.iter().zip(expected) {
        assert_eq!(table.tests()[found.test].id(), row["test"].as_str().unwrap(), "{what}: order");
        close(what, found.gain_bits, &row["eig_bits"]);
        close(what, found.gain_per_cost, &row["eig_per_cost"]);
        close(what, after.entropy_bits - found.gain_bits, &row["expected_entropy_bits"]);
        let odds = table.predictive(&after.p, found.test);
        for (found, expected) in odds.iter().zip(row["predictive"].as_array().unwrap()) {
            close(what, *found, expected);
            values += 1;
        }
        values += 3;
    }
    let best = expected.first().filter(|row| number(&row["eig_bits"]) > 1e-12);
    assert_eq!(
        ranking.best().map(|t| table.tests()[t].id()),
        best.map(|row| row["test"].as_str().unwrap()),
        "{what}: best"
    );
    values
}

#[test]
fn every_bayes_table_is_reproduced() {
    let file = reference!("c_bayes_tables.json");
    let (mut cases, mut queries, mut values) = (0, 0, 0);
    for case in file["cases"].as_array().unwrap() {
        let t = table(&case["table"]);
        let id = case["id"].as_str().unwrap();
        for query in case["queries"].as_array().unwrap() {
            values += check_query(&format!("{id} {}", query["evidence"]), &t, query);
            queries += 1;
        }
        cases += 1;
    }
    assert_eq!((cases, queries), (7, 23));
    assert!(values > 250, "{values} values compared");
}

/// Posteriors that the literature prints, from the joint hypotheses of the same tables.
#[test]
fn published_posteriors_are_reproduced() {
    let file = reference!("c_bayes_tables.json");
    let case = |id: &str| {
        file["cases"].as_array().unwrap().iter().find(|c| c["id"] == id).unwrap_or_else(|| panic!("{id}"))
    };
    let belief = |id: &str, evidence: &[&str], part: &str| -> f64 {
        let t = table(&case(id)["table"]);
        let after = t.posterior(&Evidence::parse(&t, evidence).unwrap()).unwrap();
        let holds = |fault: &str| fault.split('+').any(|p| p == part);
        t.faults().iter().zip(&after.p).filter(|((f, _), _)| holds(f)).map(|(_, p)| p).sum()
    };
    let asia = &case("asia")["published"][1]["value"];
    for (evidence, part, key) in [
        (&["xray=0", "dysp=0"][..], "lung", "p_lung|xray,dysp"),
        (&["asia=0", "dysp=0"][..], "tub", "p_tub|asia,dysp"),
        (&["dysp=0"][..], "bronc", "p_bronc|dysp"),
        (&["xray=0", "dysp=0", "smoke=0"][..], "lung", "p_lung|xray,dysp,smoke"),
        (&["xray=1", "dysp=0"][..], "bronc", "p_bronc|dysp,no_xray"),
    ] {
        close(key, belief("asia", evidence, part), &asia[key]);
    }
    let burglary = &case("burglary")["published"][0]["computed"];
    close("P(B|j,m)", belief("burglary", &["J=0", "M=0"], "B"), burglary);
    let sprinkler = &case("sprinkler")["published"];
    close("P(S|W)", belief("sprinkler", &["W=0"], "S"), &sprinkler[0]["computed"]);
    close("P(R|W)", belief("sprinkler", &["W=0"], "R"), &sprinkler[1]["computed"]);
}

/// The JSON of the reference for a plan.
fn plan_json(table: &Table, plan: &Plan) -> Value {
    match plan {
        Plan::Isolated(faults) => {
            let ids: Vec<&str> = faults.iter().map(|f| table.faults()[*f].0.as_str()).collect();
            serde_json::json!({ "isolated": ids })
        }
        Plan::Test { test, branches } => {
            let test = &table.tests()[*test];
            let branches: serde_json::Map<String, Value> = branches
                .iter()
                .map(|(o, next)| (test.outcomes()[*o].clone(), plan_json(table, next)))
                .collect();
            serde_json::json!({ "test": test.id(), "branches": branches })
        }
    }
}

#[test]
fn every_test_sequence_is_reproduced() {
    let file = reference!("d_test_sequencing.json");
    let cases = file["cases"].as_array().unwrap();
    for case in cases {
        let id = case["id"].as_str().unwrap();
        let t = table(&case["table"]);
        let best = t.optimum(&Evidence::none()).unwrap();
        close(id, best.expected_cost, &case["optimal_expected_cost"]);
        close(id, best.greedy_cost, &case["greedy_eig_per_cost_expected_cost"]);
        close(id, best.greedy_cost / best.expected_cost, &case["greedy_over_optimal"]);
        close(id, best.huffman_length, &case["huffman_length"]);
        close(id, best.lower_bound, &case["huffman_cost_bound"]);
        close(id, best.lower_bound / best.expected_cost, &case["bound_over_optimal"]);
        close(id, best.group_entropy_bits, &case["group_entropy_bits"]);
        assert!(best.entropy_bound <= best.lower_bound + 1e-12, "{id}: entropy is the weaker bound");
        assert_eq!(best.states as u64, case["dp_states_visited"].as_u64().unwrap(), "{id}: states");
        assert_eq!(plan_json(&t, &best.plan), case["optimal_tree"], "{id}");
        // Where every outcome is certain a wrong name never pays, and the search over evidence must find the same cost.
        close(id, noisy_cost(&t, 1e4).unwrap(), &case["independent_evidence_state_dp"]);
        check_testability(id, &t, &case["testability"]);
    }
    assert_eq!(cases.len(), 5);
}

fn check_testability(id: &str, t: &Table, expected: &Value) {
    let found = t.testability(None);
    close(id, found.detected().0, &expected["ffd_weighted"]);
    close(id, found.detected().1, &expected["ffd_count"]);
    for size in 1..=3 {
        let (weight, count) = found.isolated(size);
        close(id, weight, &expected[format!("ffi_le{size}_weighted_of_detected")]);
        close(id, count, &expected[format!("ffi_le{size}_count_of_detected")]);
    }
    close(id, found.mean_ambiguity().0, &expected["mean_ambiguity_weighted"]);
    close(id, found.mean_ambiguity().1, &expected["mean_ambiguity_count"]);
    let mut groups: Vec<Vec<&str>> =
        found.groups.iter().map(|g| g.iter().map(|f| t.faults()[*f].0.as_str()).collect()).collect();
    groups.sort();
    let expected: Vec<Vec<&str>> = expected["groups"].as_array().unwrap().iter().map(texts).collect();
    assert_eq!(groups, expected, "{id}");
}

#[test]
fn every_code_length_and_bound_is_reproduced() {
    let file = reference!("f_huffman.json");
    let codes = file["code_lengths"].as_array().unwrap();
    for case in codes {
        let id = case["id"].as_str().unwrap();
        let weights: Vec<f64> = case["weights"].as_array().unwrap().iter().map(number).collect();
        let arity = usize::try_from(case["arity"].as_u64().unwrap()).unwrap();
        let (length, sum) = (huffman_length(&weights, arity), weights.iter().sum::<f64>());
        close(id, length, &case["computed_length"]);
        close(id, length * sum, &case["computed_weighted_total"]);
        if !case["published_length"].is_null() {
            close(id, length, &case["published_length"]);
        }
        let p: Vec<f64> = weights.iter().map(|w| w / sum).collect();
        close(id, entropy_bits(&p) / (arity as f64).log2(), &case["entropy_base_b"]);
    }
    let bounds = file["cost_bounds"]["cases"].as_array().unwrap();
    for case in bounds {
        let costs: Vec<f64> = case["costs"].as_array().unwrap().iter().map(number).collect();
        close("bound", cost_bound(number(&case["huffman_length"]), &costs), &case["bound"]);
    }
    assert_eq!((codes.len(), bounds.len()), (9, 6));
}

/// The parts of a repair case: their ids and their actions.
fn actions(case: &Value) -> (Vec<&str>, Vec<RepairAction>) {
    let ids: Vec<&str> = case["p"].as_object().unwrap().keys().map(String::as_str).collect();
    let all = ids.iter().map(|id| RepairAction {
        p: number(&case["p"][id]),
        look: number(&case["observe_cost"][id]),
        mend: number(&case["repair_cost"][id]),
    });
    let all = all.collect();
    (ids, all)
}

fn named<'a>(ids: &[&'a str], order: &[usize]) -> Vec<&'a str> {
    order.iter().map(|i| ids[*i]).collect()
}

#[test]
fn every_repair_order_is_reproduced() {
    let file = reference!("b_repair_order.json");
    let cases = file["cases"].as_array().unwrap();
    for case in cases {
        let id = case["id"].as_str().unwrap();
        let (ids, parts) = actions(case);
        let rule = by_ratio(&parts);
        assert_eq!(named(&ids, &rule), texts(&case["rule_order"]), "{id}");
        close(id, cost_of_order(&parts, &rule), &case["ecr_rule"]);
        for (name, part) in ids.iter().zip(&parts) {
            close(id, part.p / part.look, &case["ratio_p_over_co"][name]);
        }
        let (best, cost) = best_order(&parts).unwrap();
        assert_eq!(named(&ids, &best), texts(&case["brute_force_best"]["order"]), "{id}");
        close(id, cost, &case["brute_force_best"]["ecr"]);
        let (worst, cost) = worst_order(&parts).unwrap();
        close(id, cost, &case["brute_force_worst"]["ecr"]);
        close(id, cost_of_order(&parts, &worst), &case["brute_force_worst"]["ecr"]);
        let service = &case["with_service_call"];
        let (prefix, cost) = best_prefix(&parts, number(&service["service_cost"])).unwrap();
        assert_eq!(named(&ids, &prefix), texts(&service["best_prefix_then_service"]), "{id}");
        close(id, cost, &service["expected_cost"]);
    }
    assert_eq!(cases.len(), 4);
}

/// A case in which actions share faults or covers, with the ids of its actions.
fn shared(case: &Value) -> (Vec<&str>, SharedRepair) {
    let ids: Vec<&str> = case["cost"].as_object().unwrap().keys().map(String::as_str).collect();
    let causes = case.get("causes").unwrap_or(&case["p"]).as_object().unwrap();
    let cause = |id: &str| causes.keys().position(|c| c == id).unwrap();
    let covers: Vec<&str> =
        case["opening_cost"].as_object().map_or(Vec::new(), |o| o.keys().map(String::as_str).collect());
    let shared = SharedRepair {
        causes: causes.values().map(number).collect(),
        mends: ids
            .iter()
            .map(|id| match case.get("fixes") {
                Some(fixes) => texts(&fixes[id]).into_iter().map(cause).collect(),
                None => vec![cause(id)],
            })
            .collect(),
        costs: ids.iter().map(|id| number(&case["cost"][id])).collect(),
        behind: ids
            .iter()
            .map(|id| case["cluster"][id].as_str().and_then(|k| covers.iter().position(|c| *c == k)))
            .collect(),
        opening: covers.iter().map(|c| number(&case["opening_cost"][c])).collect(),
    };
    (ids, shared)
}

#[test]
fn the_known_failures_of_the_ratio_are_reproduced() {
    let file = reference!("b_repair_order.json");

    let case = &file["dependent_actions"];
    let (ids, repair) = shared(case);
    let place = |id: &str| ids.iter().position(|i| *i == id).unwrap();
    let orders = case["all_orders"].as_array().unwrap();
    for row in orders {
        let order: Vec<usize> = texts(&row["order"]).into_iter().map(place).collect();
        close("dependent", repair.cost_of_order(&order), &row["expected_cost"]);
    }
    assert_eq!(orders.len(), 6);
    let (best, cost) = repair.best_order().unwrap();
    assert_eq!(named(&ids, &best), texts(&orders[0]["order"]));
    close("dependent optimum", cost, &orders[0]["expected_cost"]);

    let case = &file["greedy_not_optimal"];
    let (ids, repair) = shared(case);
    let greedy = repair.by_updated_ratio(false);
    assert_eq!(named(&ids, &greedy), texts(&case["updating_p_over_c_order"]));
    close("greedy", repair.cost_of_order(&greedy), &case["updating_p_over_c_cost"]);
    let (best, cost) = repair.best_order().unwrap();
    assert_eq!(named(&ids, &best), texts(&case["optimum"]["order"]));
    close("optimum", cost, &case["optimum"]["cost"]);

    let case = &file["shared_opening_cost"];
    let (ids, repair) = shared(case);
    for (opening, key) in
        [(true, "p_over_c_charging_opening_every_time"), (false, "p_over_c_ignoring_opening")]
    {
        let order = repair.by_first_ratio(opening);
        assert_eq!(named(&ids, &order), texts(&case[key]["order"]), "{key}");
        close(key, repair.cost_of_order(&order), &case[key]["cost"]);
    }
    let (best, cost) = repair.best_order().unwrap();
    assert_eq!(named(&ids, &best), texts(&case["optimum"]["order"]));
    close("optimum", cost, &case["optimum"]["cost"]);
}

#[test]
fn the_value_of_an_observation_is_reproduced() {
    let file = reference!("b_repair_order.json");
    let case = &file["observation_value"];
    let (ids, parts) = actions(case);
    let outcomes: Vec<&String> = case["likelihood"].as_object().unwrap().keys().collect();
    let likelihood: Vec<Vec<f64>> = outcomes
        .iter()
        .map(|o| ids.iter().map(|id| number(&case["likelihood"][o.as_str()][id])).collect())
        .collect();
    let found = observation_value(&parts, &likelihood, number(&case["cost_of_observation"]));
    assert_eq!(named(&ids, &found.without.0), texts(&case["ecr_without"]["order"]));
    close("without", found.without.1, &case["ecr_without"]["ecr"]);
    assert_eq!(found.branches.len(), 2);
    for (branch, outcome) in found.branches.iter().zip(outcomes) {
        let expected = &case["branches"][outcome.as_str()];
        close(outcome, branch.p, &expected["p"]);
        close(outcome, branch.cost, &expected["ecr"]);
        // Two parts of equal p/c may stand either way round; the ratios along the order may not differ.
        let ratio = |id: &str| {
            let i = ids.iter().position(|x| *x == id).unwrap();
            branch.posterior[i] / parts[i].look
        };
        let ours = named(&ids, &branch.order);
        let theirs = texts(&expected["order"]);
        assert_eq!(ours.len(), theirs.len());
        for (a, b) in ours.iter().zip(&theirs) {
            assert!((ratio(a) - ratio(b)).abs() < 1e-12, "{outcome}: {ours:?} {theirs:?}");
        }
        for (id, p) in ids.iter().zip(&branch.posterior) {
            close(outcome, *p, &expected["posterior"][id]);
        }
    }
    close("with", found.with, &case["eco"]);
    assert_eq!(found.pays(), case["observe_first"].as_bool().unwrap());
}

/// The parts of the multiplier circuit, in the order of the bits.
const PARTS: [&str; 5] = ["M1", "M2", "M3", "A1", "A2"];

fn mask(names: &[&str]) -> u32 {
    names.iter().map(|n| 1 << PARTS.iter().position(|p| p == n).unwrap()).sum()
}

fn candidate(text: &str) -> u32 {
    mask(&text.trim_matches(['[', ']']).split(',').collect::<Vec<_>>())
}

#[test]
fn the_circuit_of_three_multipliers_and_two_adders_is_reproduced() {
    let file = reference!("a_polybox.json");
    let computed = &file["computed"];
    let conflicts: Vec<u32> =
        computed["minimal_conflicts"].as_array().unwrap().iter().map(|c| mask(&texts(c))).collect();
    let sorted = |mut sets: Vec<u32>| {
        sets.sort_unstable();
        sets
    };
    let minimal = minimal_diagnoses(5, &conflicts);
    let expected = texts(&file["published"]["minimal_diagnoses"]).into_iter().map(candidate).collect();
    assert_eq!(sorted(minimal.clone()), sorted(expected));
    let all = diagnoses(5, &conflicts);
    assert_eq!(all.len() as u64, computed["number_of_consistent_diagnoses_of_32"].as_u64().unwrap());

    let mut values = 0;
    for (sets, beliefs, probes) in [
        (&minimal, "belief_minimal_only", "probes_minimal_only"),
        (&all, "belief_all_consistent", "probes_all_consistent"),
    ] {
        let weighed = weigh(sets, &[0.01; 5]);
        let belief = |text: &str| weighed.iter().find(|c| c.faulty == candidate(text)).unwrap().p;
        let expected = computed[beliefs].as_object().unwrap();
        assert_eq!(weighed.len(), expected.len());
        for (name, p) in expected {
            close(name, belief(name), p);
            values += 1;
        }
        for probe in computed[probes].as_array().unwrap() {
            let name = probe["probe"].as_str().unwrap();
            let who = probe["candidates_by_value"].as_object().unwrap();
            let sum = |key: &str| who.get(key).map_or(0.0, |c| texts(c).into_iter().map(belief).sum());
            let predicted: Vec<f64> = who.keys().filter(|k| *k != "unpredicted").map(|k| sum(k)).collect();
            for (found, key) in predicted.iter().zip(who.keys()) {
                close(name, *found, &probe["predicted"][key]);
            }
            close(name, sum("unpredicted"), &probe["p_unpredicted"]);
            let change = |values| probe_entropy_change(&predicted, sum("unpredicted"), values);
            close(name, change(None), &probe["delta_He_nats_m_infinite"]);
            close(name, change(Some(16)), &probe["delta_He_nats_m16"]);
            values += 3;
        }
    }
    assert!(values > 45, "{values} values compared");
    let t = table(&file["single_fault_table"]);
    check_query("before", &t, &file["table_answers"]);
    check_query("after X=6", &t, &file["table_after_X6"]);
}
