//! The figures on one page of Markdown.

use super::figures::{Figures, Mishap, Rate, SetFigures, WalkFigures, figures, library};
use super::tally::Tally;
use std::fmt::Write;

/// One page on a proof.
pub fn summary(tally: &Tally) -> String {
    let mut page = String::from("# Proof by injected faults\n\n");
    let _ = writeln!(
        page,
        "Seed {}, {} proof cars a fault and rig. Faults are counted in replaceable parts. Rates stand with their numbers and, \
         for proof cars, their exact 95 % bounds (Clopper and Pearson); the model's own cars are walked without noise, proof \
         cars differ from the model in structure. They are read once by a person who slips in two to four of a hundred readings \
         and answers, once by one who never slips, once with a multimeter and eyes alone.\n",
        tally.seed, tally.samples
    );
    let all = library(tally);
    let mut sets: Vec<(&str, Figures)> = Vec::new();
    for (name, tree) in &tally.trees {
        sets.push((name, figures(tree, tally.seed, tally.samples)));
    }
    sets.push(("**library**", all));
    free(&mut page, &sets);
    if tally.samples > 0 {
        noisy(&mut page, &sets);
    }
    cost(&mut page, &sets);
    page.push_str("\n## Targets missed\n\n");
    let missed: Vec<String> =
        sets.iter().flat_map(|(name, f)| f.missed.iter().map(move |m| format!("- {name}: {m}\n"))).collect();
    page.push_str(&if missed.is_empty() { "None.\n".to_owned() } else { missed.concat() });
    page
}

/// A table of walks on proof cars, a row a tree.
pub fn walks_summary(sets: &[(String, WalkFigures)]) -> String {
    let mut page = String::from(
        "| tree | walks | right | right, weighted | wrong | false alarms | unclaimed faults: wrong | broken off | minutes, weighted | nine of ten |\n\
         |---|---|---|---|---|---|---|---|---|---|\n",
    );
    for (name, WalkFigures { claimed, unclaimed_wrong }) in sets {
        let cells = [
            (claimed.walks + claimed.false_alarm.of + unclaimed_wrong.of).to_string(),
            bounded(claimed.correct),
            percent(claimed.correct_weighted),
            bounded(claimed.wrong),
            bounded(claimed.false_alarm),
            bounded(*unclaimed_wrong),
            claimed.broken_off.to_string(),
            format!("{:.0}", claimed.minutes_mean),
            format!("{:.0}", claimed.minutes_p90),
        ];
        row(&mut page, name, &cells);
    }
    page
}

fn percent(value: f64) -> String {
    format!("{:.1} %", 100.0 * value)
}

fn counted(rate: Rate) -> String {
    format!("{} ({}/{})", percent(rate.value), rate.hits, rate.of)
}

fn bounded(rate: Rate) -> String {
    format!("{} ({} to {})", percent(rate.value), percent(rate.low), percent(rate.high))
}

fn row(page: &mut String, name: &str, cells: &[String]) {
    let _ = writeln!(page, "| {name} | {} |", cells.join(" | "));
}

fn free(page: &mut String, sets: &[(&str, Figures)]) {
    page.push_str("## A: without noise, for the faults each tree claims\n\n");
    page.push_str(
        "FFD: detected; FFI(n): isolated to n parts or fewer, of those detected; weighted by prior in brackets.\n\n",
    );
    page.push_str("| tree | tools | walks | FFD | FFI(1) | FFI(2) | FFI(3) | wrong | false alarms | by reading, by look |\n");
    page.push_str("|---|---|---|---|---|---|---|---|---|---|\n");
    let line = |page: &mut String, name: &str, tools: &str, set: &SetFigures| {
        let mut cells = vec![tools.to_owned(), set.walks.to_string()];
        cells.push(format!("{} [{}]", percent(set.detected.value), percent(set.detected_weighted)));
        for (rate, weighted) in set.isolated.iter().zip(set.isolated_weighted) {
            cells.push(format!("{} [{}]", percent(rate.value), percent(weighted)));
        }
        cells.push(counted(set.wrong));
        cells.push(counted(set.false_alarm));
        cells.push(format!("{}, {}", set.by_reading, set.by_look));
        row(page, name, &cells);
    };
    for (name, figures) in sets {
        line(page, name, "all", &figures.tier_a.all_tools);
        line(page, name, "meter", &figures.tier_a.meter_only);
    }
    page.push_str("\n| tree | branches walked | faults shown by nothing | pairs that show the same | faults hidden by another | unclaimed faults: wrong |\n|---|---|---|---|---|---|\n");
    for (name, figures) in sets {
        let a = &figures.tier_a;
        let cells = [
            counted(a.branches_reached),
            a.zero_rows.len().to_string(),
            a.equal_rows.len().to_string(),
            a.masking_rows.len().to_string(),
            counted(a.unclaimed_wrong),
        ];
        row(page, name, &cells);
    }
}

fn noisy(page: &mut String, sets: &[(&str, Figures)]) {
    page.push_str("\n## B: proof cars\n\n");
    page.push_str("| tree | tools | cars | right | right, weighted | wrong | false alarms | one part | three parts |\n|---|---|---|---|---|---|---|---|---|\n");
    for (name, figures) in sets {
        for (tools, set) in [
            ("all", &figures.tier_b.all_tools),
            ("all, as the odds advise", &figures.tier_b.advised_slipping),
            ("all, no slips", &figures.tier_b.careful),
            ("all, no slips, as the odds advise", &figures.tier_b.advised),
            ("meter", &figures.tier_b.meter_only),
        ] {
            let cells = [
                tools.to_owned(),
                set.walks.to_string(),
                bounded(set.correct),
                percent(set.correct_weighted),
                bounded(set.wrong),
                bounded(set.false_alarm),
                percent(set.isolated[0].value),
                percent(set.isolated[2].value),
            ];
            row(page, name, &cells);
        }
    }
    page.push_str("\n| tree | one step skipped: right, wrong | one step wrong: right, wrong | two faults: a true one, a third part |\n|---|---|---|---|\n");
    let both = |m: &Mishap| format!("{}, {}", percent(m.right.value), percent(m.wrong.value));
    for (name, figures) in sets {
        let b = &figures.tier_b;
        let cells = [
            both(&b.skipped),
            both(&b.flipped),
            format!("{}, {}", percent(b.pairs_right.value), percent(b.pairs_wrong.value)),
        ];
        row(page, name, &cells);
    }
    doubts(page, sets);
}

fn doubts(page: &mut String, sets: &[(&str, Figures)]) {
    page.push_str(
        "\nWhere a walk ends, the program says whether all that was seen speaks against that end. Heeded: such an end gives way to the \
         part the odds favour, if they favour one. The alarm says that no fault of the catalogue explains everything; what does not \
         go with the rest is read again first, as the program asks.\n\n",
    );
    page.push_str("| tree | reader | wrong ends spoken against | right ends spoken against | wrong without a word | heeded: right, wrong | alarm after a walk: unlisted, listed | after the usual readings too: unlisted, listed | odds: first, first three |\n|---|---|---|---|---|---|---|---|---|\n");
    for (name, figures) in sets {
        let readers = [("slips", &figures.tier_b.doubts), ("no slips", &figures.tier_b.doubts_careful)];
        for (reader, d) in readers {
            let cells = [
                reader.to_owned(),
                counted(d.against_wrong),
                counted(d.against_right),
                bounded(d.unquestioned_wrong),
                format!("{}, {}", bounded(d.heeded_right), bounded(d.heeded_wrong)),
                format!("{}, {}", counted(d.alarms_unlisted), counted(d.alarms_listed)),
                format!("{}, {}", bounded(d.alarms_full_unlisted), bounded(d.alarms_full_listed)),
                format!("{}, {}", percent(d.belief_first.value), percent(d.belief_three.value)),
            ];
            row(page, name, &cells);
        }
    }
}

fn cost(page: &mut String, sets: &[(&str, Figures)]) {
    page.push_str("\n## C: cost\n\n");
    page.push_str("Minutes of whole walks without noise; of those of proof cars read with care, in the authored order and as the odds advise on the way; then of the tests alone, in the authored order, in the best order found, and the least any order can take.\n\n");
    page.push_str("| tree | mean | nine of ten | worst | proof cars | as the odds advise | ended early | tests, authored | best found | best/authored | bound | wrong parts |\n|---|---|---|---|---|---|---|---|---|---|---|---|\n");
    for (name, figures) in sets {
        let c = &figures.tier_c;
        let mut cells: Vec<String> =
            [c.minutes_mean, c.minutes_p90, c.minutes_worst].map(|m| format!("{m:.1}")).to_vec();
        let b = &figures.tier_b;
        cells.extend([b.careful.minutes_mean, b.advised.minutes_mean].map(|m| format!("{m:.1}")));
        cells.push(percent(b.early.value));
        cells.extend([c.authored, c.best_found].map(|m| format!("{m:.1}")));
        cells.push(format!("{:.2}", c.ratio));
        cells.push(format!("{:.1}", c.lower_bound));
        cells.push(format!("{:.3}", c.wrong_parts));
        row(page, name, &cells);
    }
}
