//! Reading a data log: megabytes a second, so that a log of 1 GB takes less than 15 s. For reference, the same bytes parted into
//! fields, and the fields left alone.

// A benchmark that cannot set up its files has nobody else to tell.
#![allow(clippy::expect_used, missing_docs)]

use divan::counter::BytesCount;
use faultwalk::logs::{analyse, guess, sample};
use faultwalk::quantity::UnitSystem;
use faultwalk::rig::Rig;
use std::fmt::Write as _;
use std::io::Cursor;
use std::path::Path;

fn main() {
    divan::main();
}

/// An invented log of about 64 MB: idle, raised and full load in turn, ten columns.
fn log() -> String {
    let mut text = "Time (s),RPM,TPS (%),Fuel Pressure (kPa),MAP (kPa),Fuel Trim (%),Lambda,Target Lambda,Battery (V),Gear\n".to_owned();
    for i in 0..1_000_000_u32 {
        let (speed, throttle, rail, manifold) = match i / 400 % 4 {
            0 => (850, 2.0, 244.0, 45.0),
            1 => (2_500, 6.0, 236.0, 36.0),
            2 => (2_300, 14.0, 250.0, 55.0),
            _ => (2_000 + i % 400 * 8, 98.0, 296.0, 98.0),
        };
        let wobble = f64::from(i * 7 % 13) / 10.0;
        let _ = writeln!(
            text,
            "{:.3},{speed},{throttle:.1},{:.2},{:.2},{:.2},{:.3},1.000,{:.2},3",
            f64::from(i) * 0.05,
            rail + wobble,
            manifold + wobble / 4.0,
            wobble,
            1.0 + wobble / 100.0,
            14.0 + wobble / 20.0
        );
    }
    text
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn reference_fields_alone(bencher: divan::Bencher) {
    let text = log();
    bencher.counter(BytesCount::of_str(&text)).bench(|| {
        let mut reader = csv::ReaderBuilder::new().from_reader(text.as_bytes());
        let mut record = csv::ByteRecord::new();
        let mut fields = 0;
        while reader.read_byte_record(&mut record).expect("a table") {
            fields += record.len();
        }
        fields
    });
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn from_end_to_end(bencher: divan::Bencher) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/rigs/mill-road-sedan.yaml");
    let rig = Rig::parse("rig", &std::fs::read_to_string(path).expect("the rig is there")).expect("a rig");
    let text = log();
    bencher.counter(BytesCount::of_str(&text)).bench(|| {
        let mut file = Cursor::new(text.as_bytes());
        let sampled = sample(&mut file).expect("a table");
        let mapping = guess(&sampled, Some(&rig));
        analyse(file, &sampled.layout, &mapping, Some(&rig), UnitSystem::Metric).expect("a log").judgements
    });
}
