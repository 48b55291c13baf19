// add_tempering() for all nodes of a section at once.
#pragma once

#include <cstddef>

namespace tq::steel {

/// Tempering parameters after a step of dt [s] in which the nodes went `from` one temperature [degC] `to`
/// another: at its mean, where it is more than 5 K at a quarter and at three quarters of the way. What stays
/// below 60 degC is far below any effect.
void temper_nodes(std::size_t nodes, const double* from, const double* to, double dt_s, double constant_h,
                  double* parameter);

} // namespace tq::steel
