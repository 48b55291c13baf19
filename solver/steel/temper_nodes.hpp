// add_tempering() for all nodes of a section at once.
#pragma once

#include <cstddef>

namespace tq::steel {

/// Tempering parameters after a step of dt [s] in which the nodes went `from` one temperature [degC] `to`
/// another: at its mean, where it is more than 5 K at a quarter and at three quarters of the way. What stays
/// below 60 degC is far below any effect.
void temper_nodes(std::size_t nodes, const double* from, const double* to, double dt_s, double constant_h,
                  double* parameter);

/// The same for nodes whose martensite still forms, at their mean temperatures `T` [degC]: a node's parameter
/// is that of the mean time its martensite has had at the present temperature, and the part `fresh` of it
/// that has come in this step has had none. Where martensite_rests() nothing changes.
void temper_fresh_nodes(std::size_t nodes, const double* T, double dt_s, double constant_h,
                        const double* martensite, const double* fresh, double* parameter);
/// Below 80 degC, where the seconds and minutes of a quench do nothing, and with less than 0.1 % of it.
[[gnu::always_inline]] inline bool martensite_rests(double T_degC, double martensite) {
  constexpr double cold_degC = 80, least_martensite = 1e-3;
  return (T_degC < cold_degC) | (martensite < least_martensite);
}

} // namespace tq::steel
