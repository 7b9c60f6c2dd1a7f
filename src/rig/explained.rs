//! What each key of a rig file means to the person at the car, and where it is found.

/// Every key with one line: what it is, and where one finds it.
const EXPLAINED: &[(&str, &str)] = &[
    ("rig", "What you call this car; it stands on every case and report."),
    ("site.altitude", "Height above the sea where the car stands: a map, or the phone's."),
    ("site.barometer", "Barometer at this place, not reduced to sea level; leave empty if unsure."),
    ("site.air", "Air where the engine breathes: a thermometer in the shade."),
    ("site.fuel", "Fuel in the tank: feel or measure it; near the air's after a night."),
    ("site.heat_soak", "How much the fuel warms when a hot engine stands: common value if unsure."),
    ("fuel.ethanol", "Share of ethanol: the pump's label, a tester, or a sensor's reading."),
    ("fuel.reid_vapour_pressure", "Volatility: the fuel's data sheet; winter fuel is higher than summer's."),
    ("engine.power", "Crankshaft power at full load: a dynamometer sheet, or an honest guess."),
    ("engine.consumption", "Fuel per power and hour at full load: engine sheet; empty if unknown."),
    ("engine.induction", "Natural; blower behind the plates: draw-through; before them: blow-through."),
    ("engine.boost", "Highest boost on the gauge at full load; empty without a blower."),
    ("engine.intake_loss", "Vacuum left in the plenum at full throttle: a vacuum gauge under load."),
    ("engine.idle.manifold", "Plenum pressure, warm idle: a vacuum gauge, or the controller's MAP value."),
    ("engine.idle.fuel", "Fuel at idle against full load: the controller's log; common if unsure."),
    ("engine.raised.manifold", "Plenum pressure held at 2,500 1/min, no load: gauge or controller's MAP."),
    ("engine.raised.fuel", "Fuel at 2,500 1/min against full load: the controller's log."),
    ("engine.cruise.manifold", "Plenum pressure on a level road: the controller's log."),
    ("engine.cruise.fuel", "Fuel on a level road against full load: the controller's log."),
    ("engine.blower_inlet.idle", "Between plates and blower at idle: a vacuum gauge in that space."),
    ("engine.blower_inlet.raised", "Between plates and blower at 2,500 1/min: a vacuum gauge there."),
    ("engine.blower_inlet.cruise", "Between plates and blower on a level road: a vacuum gauge there."),
    ("engine.blower_inlet.load", "Between plates and blower at full throttle: a vacuum gauge there."),
    ("injection.tip", "Where fuel leaves the injector: look down the throttle body, engine off."),
    ("injection.count", "How many injectors there are: count them."),
    ("injection.flow", "Static flow of one: its part number's data sheet, or a bench test's."),
    ("injection.rated_at", "Pressure at which that flow is stated: the same data sheet."),
    ("regulator.style", "How the pressure is held: follow the lines from the pump to the tank."),
    ("regulator.set", "Gauge at the rail on prime, reference hose off: measure, or the kit's sheet."),
    ("regulator.reference", "Where the hose on the regulator's cap goes; open if it has none."),
    ("regulator.ratio", "Rail rise per boost: the regulator's sheet; 1 for nearly all."),
    ("regulator.rise.drop", "How far the rail creeps up with return flow: the regulator's sheet."),
    ("regulator.rise.at", "The return flow at which it creeps up that far: the same sheet."),
    ("regulator.rise.set_at", "Return flow while it was set: empty if it was set on this car."),
    ("regulator.seat.drop", "Least pressure across the open seat: the regulator's sheet."),
    ("regulator.seat.at", "The return flow of that least pressure: the same sheet."),
    ("pump.type", "Turbine: most in-tank pumps; displacement: most loud in-line ones."),
    ("pump.rated", "Voltage the pump's sheet was measured at, often 12 or 13.5 V."),
    ("pump.relief", "Pressure at which the pump's own valve opens: the pump's sheet."),
    ("pump.curve", "Rows of pressure, flow and current from the pump's sheet."),
    ("pump.lift", "Pump above the fuel, with a tape measure; below zero if it sits under it."),
    ("pump.suction_need", "Suction the pump needs: its sheet; 0 for one that sits in the fuel."),
    ("pump.holds", "Yes if pressure stays after key-off: the pump's sheet, or try it."),
    ("inlet.bore", "Inside of the hose before the pump: a rule or calliper on its end."),
    ("inlet.dash", "Size printed on the hose before the pump, such as 8; or give the bore."),
    ("inlet.length", "Hose from tank to pump: a tape measure."),
    ("inlet.fittings", "Bends and fittings before the pump: about 1 for each sharp bend."),
    ("strainer.drop", "Loss across the clean strainer: its sheet; empty if there is none."),
    ("strainer.at", "The flow at which it loses that: the same sheet."),
    ("filter.drop", "Loss across the clean filter: its sheet; empty if there is none."),
    ("filter.at", "The flow at which it loses that: the same sheet."),
    ("feed.bore", "Inside of the line from pump to rail: calliper on its end, or its sheet."),
    ("feed.dash", "Size printed on the feed hose, such as 6; or give the bore."),
    ("feed.length", "Line from pump to rail: a tape measure along it."),
    ("feed.fittings", "Bends and fittings in the feed: about 1 for each sharp bend."),
    ("return.bore", "Inside of the line back to the tank: calliper on its end, or its sheet."),
    ("return.dash", "Size printed on the return hose, such as 6; or give the bore."),
    ("return.length", "Line from regulator to tank: a tape measure along it."),
    ("return.fittings", "Bends and fittings in the return: about 1 for each sharp bend."),
    ("tank", "Pressure over the fuel, cap closed: 0 where the vent is open."),
    ("wiring.feed", "Battery to pump plus: wire size and length, or volts lost by amps."),
    ("wiring.ground", "Pump minus to battery: wire size and length, or volts lost by amps."),
    ("wiring.resting", "Meter across the battery, key off, rested."),
    ("wiring.running", "Meter across the battery, engine running."),
    ("wiring.cranking", "Meter across the battery while it cranks."),
    ("controller.load_by", "What the controller takes for load: its settings."),
    ("controller.pressure_model", "How it takes fuel pressure: constant, computed, or from a rail sensor."),
    ("controller.across_injector", "Fuel pressure in the controller's settings; empty if it has none."),
    ("controller.ethanol", "Ethanol in the controller's settings; empty if it knows of none."),
    ("controller.closed_loop", "Where it corrects by the oxygen sensor: the controller's settings."),
    ("controller.trim_limit", "Most it corrects: the controller's settings."),
    ("controller.lambda.idle", "Mixture aimed at, idle: the controller's target table (14.7 AFR is 1)."),
    ("controller.lambda.raised", "Mixture aimed at, 2,500 1/min: the controller's target table."),
    ("controller.lambda.cruise", "Mixture aimed at on a level road: the controller's target table."),
    ("controller.lambda.load", "Mixture aimed at, full load: the controller's target table."),
    ("ratings.weakest", "Lowest rated hose, fitting or regulator: what is printed on them."),
    ("rest", "How long you will wait before reading the pressure that is held."),
    ("tools", "What you have here, such as pressure-gauge, multimeter; empty: everything."),
    ("instruments.pressure.range", "Both ends of the fuel gauge's scale: its dial."),
    ("instruments.pressure.class", "Accuracy on the fuel gauge's dial or sheet, such as 1.6 % of span."),
    ("instruments.pressure.graduation", "Smallest step between marks on the fuel gauge's dial."),
    ("instruments.vacuum.range", "Both ends of the vacuum gauge's scale: its dial."),
    ("instruments.vacuum.class", "Accuracy on the vacuum gauge's dial or sheet."),
    ("instruments.vacuum.graduation", "Smallest step between marks on the vacuum gauge's dial."),
    ("instruments.meter.accuracy", "Direct volts, in the multimeter's manual, such as 0.5 % + 2 counts."),
    ("instruments.meter.resolution", "Last digit of the multimeter on 20 V, such as 0.01 V."),
    ("instruments.clamp.accuracy", "Direct current, in the clamp meter's manual."),
    ("instruments.clamp.resolution", "Last digit of the clamp meter, such as 0.01 A."),
];

/// What the key of that path is and where it is found; nothing for a key that is none.
pub fn explained(path: &str) -> Option<&'static str> {
    EXPLAINED.iter().find(|(key, _)| *key == path).map(|(_, says)| *says)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::FIELDS;
    use crate::terms::Tool;

    #[test]
    fn every_key_is_explained_once_in_one_line_and_nothing_else_is() {
        let keys: Vec<&str> = FIELDS.iter().map(|f| f.path).collect();
        let told: Vec<&str> = EXPLAINED.iter().map(|(key, _)| *key).collect();
        assert_eq!(told, keys);
        for (key, says) in EXPLAINED {
            assert!((30..=76).contains(&says.chars().count()), "{key}: {}", says.chars().count());
            assert!(says.ends_with('.'), "{key}: {says}");
        }
    }

    #[test]
    fn the_tools_named_are_tools() {
        let says = explained("tools").unwrap();
        for tool in ["pressure-gauge", "multimeter"] {
            assert!(says.contains(tool) && Tool::ALL.iter().any(|t| t.id() == tool), "{tool}");
        }
    }
}
