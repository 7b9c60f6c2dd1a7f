//! Words of the trade that screens and trees use, each in plain English.

/// Each word with what it means, by the alphabet.
pub const WORDS: &[(&str, &str)] = &[
    ("1/min", "turns of the engine in a minute, rpm"),
    (
        "absolute",
        "a pressure counted from nothing at all; the air round the car is near 100 kPa or 14.7 psi absolute",
    ),
    (
        "ASME B40.100 B",
        "a class of pressure gauges: wrong by at most 2 % of the whole scale in its middle half, 3 % towards its ends (figures from memory)",
    ),
    (
        "blower",
        "a pump for air that the engine or its exhaust drives; draw-through where it sucks through the throttle",
    ),
    (
        "counts",
        "steps of a meter's last digit: with 0.5 % + 2 counts and 0.01 V a digit, 12 V may be wrong by 0.06 V and 0.02 V more",
    ),
    ("deadhead", "a supply without a return from the rail: fuel stands at the engine until it is used"),
    ("duty", "the share of the time that an injector or a pump is switched on"),
    ("feed line", "the fuel line from the pump to the engine"),
    (
        "gauge pressure",
        "a pressure counted from that of the air round the car, as a fuel pressure gauge shows it",
    ),
    (
        "heat soak",
        "what a hot engine does to the fuel once it stands switched off: it warms, here by so many K; 1 K is 1 °C or 1.8 °F",
    ),
    ("inHg", "inches of mercury, in which vacuum gauges are marked; 30 is nearly no air at all"),
    ("lambda", "the mixture: 1 is just enough air to burn the fuel, above 1 is lean, below 1 is rich"),
    (
        "load sensor",
        "what tells the controller how much air the engine takes: most often the manifold's pressure",
    ),
    (
        "manifold pressure",
        "the air pressure behind the throttle plates: low at idle, near the outside air wide open",
    ),
    ("module", "a pump with filter and regulator in one unit in the tank"),
    ("pinch", "to squeeze a hose nearly shut for a moment, with a clamp made for it"),
    ("plenum", "the chamber of the intake manifold between the throttle plates and the cylinders"),
    ("prime", "key on, engine off: the pump runs for a second or two and builds pressure"),
    ("rail", "the pipe that feeds the injectors"),
    ("raised idle", "the engine held at 2,500 1/min, the car standing"),
    ("reference hose", "the small hose that lets the regulator feel the air pressure it has to follow"),
    ("reference port", "the small port of the regulator that its reference hose sits on"),
    ("regulator", "the valve that holds the fuel pressure, by letting what is too much back to the tank"),
    ("Reid vapour pressure", "how readily a fuel boils, measured at 37.8 °C (100 °F); higher in winter fuel"),
    ("return line", "the line that takes the fuel the engine does not use back to the tank"),
    ("set pressure", "what the regulator holds with its reference open to air"),
    ("strainer", "the coarse sieve at the pump's inlet, in the tank"),
    ("tap", "a small port to which a gauge or a hose can be fitted"),
    ("trigger", "the small current by which the controller switches the relay of the pump on"),
    (
        "trim",
        "by how many per cent the controller adds fuel (+) or takes it off (-) to keep the mixture where it should be",
    ),
    ("vacuum", "how far a pressure lies below that of the air round the car"),
    (
        "voltage lost",
        "what a wire or a plug uses up of the battery's voltage, read across it with the current flowing",
    ),
    ("wideband", "an oxygen sensor in the exhaust with a display that shows lambda"),
];
