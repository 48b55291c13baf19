// Air: conductivity and heat transfer by natural and forced convection.
#pragma once

namespace tq::surroundings {

/// Conductivity of air [W/mK]. US Standard Atmosphere 1976, eq. 53.
double air_conductivity(double T_degC);
/// Natural convection on a plate standing on edge, height `height_m` [W/m2K]. Churchill & Chu 1975 (laminar +
/// turbulent form).
double natural_convection(double T_surface_degC, double T_air_degC, double height_m);
} // namespace tq::surroundings
