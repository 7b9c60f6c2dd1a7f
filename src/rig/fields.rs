//! Every key of a rig file: what it is called, what it takes, and its default.

use crate::quantity::Dimension;

/// What a key takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Free text.
    Text,
    /// A quantity with its unit.
    Quantity(Dimension),
    /// A flow by volume or by mass.
    Flow,
    /// A plain number.
    Number,
    /// One id of a list.
    Choice(&'static [&'static str]),
    /// `yes` or `no`.
    YesNo,
    /// A list of conditions.
    Conditions,
    /// The pump's curve.
    Curve,
    /// A range such as `0..100 psi`.
    Range,
    /// An accuracy class or statement.
    Accuracy,
    /// A list of tools.
    Tools,
}

/// One key.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Dotted path, such as `engine.power`.
    pub path: &'static str,
    /// In words.
    pub label: &'static str,
    /// What it takes.
    pub kind: Kind,
    /// The default as text; empty where it follows from other keys or may be absent.
    pub default: &'static str,
}

const fn f(path: &'static str, label: &'static str, kind: Kind, default: &'static str) -> Field {
    Field { path, label, kind, default }
}

const PRESSURE: Kind = Kind::Quantity(Dimension::Pressure);
const LENGTH: Kind = Kind::Quantity(Dimension::Length);
const SHARE: Kind = Kind::Quantity(Dimension::Share);
const VOLT: Kind = Kind::Quantity(Dimension::Voltage);
const OHM: Kind = Kind::Quantity(Dimension::Resistance);
const TEMPERATURE: Kind = Kind::Quantity(Dimension::Temperature);
const STATIONS: Kind = Kind::Choice(&["open", "before-plates", "behind-plates", "plenum"]);

/// Every key, in the order a person fills them in. Defaults are common practice for a carburetted V8 converted to injection.
pub const FIELDS: &[Field] = &[
    f("rig", "name", Kind::Text, "unnamed car"),
    f("site.altitude", "altitude", LENGTH, "0 ft"),
    f("site.barometer", "station barometer, in place of the altitude", PRESSURE, ""),
    f("site.air", "air temperature", TEMPERATURE, "59 °F"),
    f("site.fuel", "fuel temperature", TEMPERATURE, "68 °F"),
    f("site.heat_soak", "rise of the fuel temperature in a heat soak, in K", Kind::Number, "25"),
    f("fuel.ethanol", "ethanol in the fuel", SHARE, "10 %"),
    f("fuel.reid_vapour_pressure", "Reid vapour pressure", PRESSURE, "9 psi"),
    f("engine.power", "power at full load", Kind::Quantity(Dimension::Power), "300 hp"),
    f(
        "engine.consumption",
        "fuel per power and hour on gasoline",
        Kind::Quantity(Dimension::Consumption),
        "",
    ),
    f("engine.induction", "induction", Kind::Choice(&["natural", "draw-through", "blow-through"]), "natural"),
    f("engine.boost", "boost at full load", PRESSURE, ""),
    f("engine.intake_loss", "loss from atmosphere to plenum at full load", PRESSURE, "3 kPa"),
    f("engine.idle.manifold", "manifold pressure at idle, absolute", PRESSURE, "45 kPa"),
    f("engine.idle.fuel", "fuel at idle, share of full load", SHARE, "2.2 %"),
    f("engine.raised.manifold", "manifold pressure at 2,500 1/min, absolute", PRESSURE, "36 kPa"),
    f("engine.raised.fuel", "fuel at 2,500 1/min, share of full load", SHARE, "6 %"),
    f("engine.cruise.manifold", "manifold pressure at cruise, absolute", PRESSURE, ""),
    f("engine.cruise.fuel", "fuel at cruise, share of full load", SHARE, ""),
    f("engine.blower_inlet.idle", "pressure before the blower at idle, absolute", PRESSURE, ""),
    f("engine.blower_inlet.raised", "pressure before the blower at 2,500 1/min, absolute", PRESSURE, ""),
    f("engine.blower_inlet.cruise", "pressure before the blower at cruise, absolute", PRESSURE, ""),
    f("engine.blower_inlet.load", "pressure before the blower at full load, absolute", PRESSURE, ""),
    f("injection.tip", "injector tip", Kind::Choice(&["above-plates", "below-plates", "port"]), "port"),
    f("injection.count", "injectors", Kind::Number, "8"),
    f("injection.flow", "flow of one injector", Kind::Flow, "36 lb/h"),
    f("injection.rated_at", "pressure the injectors are rated at", PRESSURE, "43.5 psi"),
    f(
        "regulator.style",
        "supply style",
        Kind::Choice(&["return", "bypass-before-rail", "deadhead", "module", "speed-controlled"]),
        "return",
    ),
    f("regulator.set", "set pressure, reference open", PRESSURE, "43.5 psi"),
    f("regulator.reference", "regulator reference", STATIONS, ""),
    f("regulator.ratio", "rail per reference pressure above atmosphere", Kind::Number, "1"),
    f("regulator.rise.drop", "rise of the rail with return flow", PRESSURE, "15 kPa"),
    f("regulator.rise.at", "return flow of that rise", Kind::Flow, "200 L/h"),
    f("regulator.rise.set_at", "return flow the pressure was set at", Kind::Flow, ""),
    f("regulator.seat.drop", "least the wide-open seat needs", PRESSURE, "20 kPa"),
    f("regulator.seat.at", "return flow of that need", Kind::Flow, "200 L/h"),
    f("pump.type", "type of pump", Kind::Choice(&["turbine", "displacement"]), "turbine"),
    f("pump.rated", "voltage of the pump's curve", VOLT, "13.5 V"),
    f("pump.relief", "rise at which the pump's valve opens", PRESSURE, "95 psi"),
    f("pump.curve", "pump curve: rise, flow, current", Kind::Curve, ""),
    f("pump.lift", "pump above the fuel surface", LENGTH, "-0.15 m"),
    f("pump.suction_need", "suction head the pump needs", LENGTH, "0 m"),
    f("pump.holds", "check valve in the pump", Kind::YesNo, "yes"),
    f("inlet.bore", "inlet bore", LENGTH, "9.5 mm"),
    f("inlet.dash", "inlet dash size, in place of the bore", Kind::Number, ""),
    f("inlet.length", "inlet length", LENGTH, "0.1 m"),
    f("inlet.fittings", "inlet fittings, sum of K", Kind::Number, "1"),
    f("strainer.drop", "drop of the clean strainer", PRESSURE, ""),
    f("strainer.at", "flow of that drop", Kind::Flow, "200 L/h"),
    f("filter.drop", "drop of the clean filter", PRESSURE, ""),
    f("filter.at", "flow of that drop", Kind::Flow, "200 L/h"),
    f("feed.bore", "feed bore", LENGTH, "8.7 mm"),
    f("feed.dash", "feed dash size, in place of the bore", Kind::Number, ""),
    f("feed.length", "feed length", LENGTH, "4.5 m"),
    f("feed.fittings", "feed fittings, sum of K", Kind::Number, "4"),
    f("return.bore", "return bore", LENGTH, "8.7 mm"),
    f("return.dash", "return dash size, in place of the bore", Kind::Number, ""),
    f("return.length", "return length", LENGTH, "4.5 m"),
    f("return.fittings", "return fittings, sum of K", Kind::Number, "4"),
    f("tank", "gauge pressure over the fuel", PRESSURE, "0 kPa"),
    f("wiring.feed", "resistance of the feed wire", OHM, "30 mΩ"),
    f("wiring.ground", "resistance of the ground wire", OHM, "10 mΩ"),
    f("wiring.resting", "battery voltage, engine off", VOLT, "12.5 V"),
    f("wiring.running", "battery voltage, engine running", VOLT, "14.0 V"),
    f("wiring.cranking", "battery voltage, cranking", VOLT, "10.2 V"),
    f("controller.load_by", "load signal", Kind::Choice(&["manifold", "throttle", "mass-air"]), "manifold"),
    f(
        "controller.pressure_model",
        "pressure model of the controller",
        Kind::Choice(&["constant", "computed", "sensor"]),
        "constant",
    ),
    f("controller.across_injector", "pressure the controller was told", PRESSURE, ""),
    f("controller.ethanol", "ethanol the controller was told", SHARE, ""),
    f("controller.closed_loop", "conditions it trims in", Kind::Conditions, "idle, raised"),
    f("controller.trim_limit", "most it trims", SHARE, "25 %"),
    f("controller.lambda.idle", "target lambda at idle", Kind::Number, "1.0"),
    f("controller.lambda.raised", "target lambda at 2,500 1/min", Kind::Number, "1.0"),
    f("controller.lambda.cruise", "target lambda at cruise", Kind::Number, "1.0"),
    f("controller.lambda.load", "target lambda at full load", Kind::Number, ""),
    f("ratings.weakest", "rating of the weakest hose, fitting or regulator", PRESSURE, ""),
    f("rest", "wait after key-off for the held pressure", Kind::Quantity(Dimension::Time), "10 min"),
    f("tools", "tools at hand", Kind::Tools, ""),
    f("instruments.pressure.range", "range of the pressure gauge", Kind::Range, "0..100 psi"),
    f("instruments.pressure.class", "class of the pressure gauge", Kind::Accuracy, "ASME B40.100 B"),
    f("instruments.pressure.graduation", "graduation of the pressure gauge", PRESSURE, "1 psi"),
    f("instruments.vacuum.range", "range of the vacuum gauge", Kind::Range, "-30..30 inHg"),
    f("instruments.vacuum.class", "class of the vacuum gauge", Kind::Accuracy, "ASME B40.100 B"),
    f("instruments.vacuum.graduation", "graduation of the vacuum gauge", PRESSURE, "0.5 inHg"),
    f("instruments.meter.accuracy", "accuracy of the multimeter", Kind::Accuracy, "0.5 % + 2 counts"),
    f("instruments.meter.resolution", "resolution of the multimeter", VOLT, "0.01 V"),
    f("instruments.clamp.accuracy", "accuracy of the clamp meter", Kind::Accuracy, "2 % + 5 counts"),
    f(
        "instruments.clamp.resolution",
        "resolution of the clamp meter",
        Kind::Quantity(Dimension::Current),
        "0.01 A",
    ),
];

/// The key of that path.
pub fn field(path: &str) -> Option<&'static Field> {
    FIELDS.iter().find(|f| f.path == path)
}

/// What a key is called for people; a key that is none stays as it is.
pub fn label(path: &str) -> &str {
    field(path).map_or(path, |f| f.label)
}

/// The pump curve taken when none is given, common practice for an in-line electric pump of about 255 L/h: rise, flow, current.
pub const DEFAULT_CURVE: [[&str; 3]; 9] = [
    ["0 kPa", "325 L/h", "5.0 A"],
    ["100 kPa", "301 L/h", "6.6 A"],
    ["200 kPa", "277 L/h", "8.2 A"],
    ["300 kPa", "250 L/h", "9.9 A"],
    ["400 kPa", "220 L/h", "11.8 A"],
    ["500 kPa", "184 L/h", "13.9 A"],
    ["600 kPa", "139 L/h", "16.2 A"],
    ["700 kPa", "81 L/h", "18.6 A"],
    ["800 kPa", "0 L/h", "21.0 A"],
];

/// Inside diameter in m of a dash size: dash/16 in, the size of a hose named by its bore (common practice; hoses named by
/// equivalent tube have a smaller bore, so give the bore where it is known).
pub fn dash_bore(dash: f64) -> f64 {
    dash / 16.0 * 0.0254
}
