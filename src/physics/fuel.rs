//! Gasoline–ethanol blends by ethanol volume fraction.
//!
//! Source: US DOE Alternative Fuels Data Center, *Properties of Fuels*: lower heating value 18,676 and 11,585 Btu/lb,
//! stoichiometric air–fuel ratio 14.7 and 9.0, kinematic viscosity 0.5–0.6 and 1.50 mm²/s at 68 °F. Density and viscosity
//! mix by volume fraction, the rest by mass fraction; real excess volume is under about 0.3 % (from memory).

/// Density of the gasoline reckoned with, kg/m³ (18,676 Btu/lb and 116,090 Btu/gal imply it).
pub const GASOLINE_DENSITY: f64 = 744.9;
const ETHANOL_DENSITY: f64 = 793.2;
const GASOLINE_HEAT: f64 = 18_676.0 * 2_326.0;
const ETHANOL_HEAT: f64 = 11_585.0 * 2_326.0;
const GASOLINE_AIR: f64 = 14.7;
const ETHANOL_AIR: f64 = 9.0;
const GASOLINE_VISCOSITY: f64 = 0.55e-6;
const ETHANOL_VISCOSITY: f64 = 1.5e-6;

/// A blend of gasoline and ethanol.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blend {
    /// Ethanol volume fraction, 0 to 1.
    pub ethanol: f64,
}

impl Blend {
    /// A blend with that ethanol volume fraction.
    pub fn new(ethanol: f64) -> Self {
        Self { ethanol }
    }

    /// Density in kg/m³ at 15 to 20 °C.
    pub fn density(self) -> f64 {
        self.ethanol * ETHANOL_DENSITY + (1.0 - self.ethanol) * GASOLINE_DENSITY
    }

    /// Ethanol mass fraction.
    pub fn mass_fraction(self) -> f64 {
        self.ethanol * ETHANOL_DENSITY / self.density()
    }

    /// Kinematic viscosity in m²/s at 20 °C.
    pub fn viscosity(self) -> f64 {
        self.ethanol * ETHANOL_VISCOSITY + (1.0 - self.ethanol) * GASOLINE_VISCOSITY
    }

    /// Lower heating value in J/kg.
    pub fn heating_value(self) -> f64 {
        let w = self.mass_fraction();
        w * ETHANOL_HEAT + (1.0 - w) * GASOLINE_HEAT
    }

    /// Stoichiometric air–fuel ratio by mass.
    pub fn air_fuel_ratio(self) -> f64 {
        let w = self.mass_fraction();
        w * ETHANOL_AIR + (1.0 - w) * GASOLINE_AIR
    }

    /// Fuel mass needed at equal air and lambda, as a multiple of gasoline's.
    pub fn mass_ratio_equal_air(self) -> f64 {
        GASOLINE_AIR / self.air_fuel_ratio()
    }

    /// Fuel volume needed at equal air and lambda, as a multiple of gasoline's.
    pub fn volume_ratio_equal_air(self) -> f64 {
        self.mass_ratio_equal_air() * GASOLINE_DENSITY / self.density()
    }

    /// Fuel mass needed for equal heat, as a multiple of gasoline's.
    pub fn mass_ratio_equal_energy(self) -> f64 {
        GASOLINE_HEAT / self.heating_value()
    }

    /// Fuel volume needed for equal heat, as a multiple of gasoline's.
    pub fn volume_ratio_equal_energy(self) -> f64 {
        self.mass_ratio_equal_energy() * GASOLINE_DENSITY / self.density()
    }
}
