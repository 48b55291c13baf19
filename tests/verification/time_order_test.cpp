// Observed order in time: fixed steps of the bare method on one grid, against the same grid in many steps.
#include "bench.hpp"

#include <gtest/gtest.h>

#include <numbers>

namespace {

using namespace tq;
using namespace tq::verification;
using conduction::State;

/// A quench after its first 0.5 s, so that no jump of the start is left in the state.
class Quench {
 public:
  Quench(const section::GridOptions& options, double h, bool boiling, double swing_K = 0)
      : material_(linear(0, 24, 1000, 28), linear(0, 480, 1000, 730)),
        balance_(conduction::make_mesh(section::make_grid(
                     section::profile_from_points({0, 0, 24e-3, 24e-3}, {1.6e-3, -1.2e-3, -0.4e-3, 0.3e-3}),
                     options)),
                 7800, material_) {
    conduction::Surround surround;
    surround.temperature = [swing_K](double t) {
      return 60 + swing_K * (1 + std::sin(4 * std::numbers::pi * t));
    };
    const records::Table table{{60, 200, 300, 400, 500, 550, 600, 700, 800},
                               {300, 350, 600, 1500, 2800, 3000, 2400, 800, 400},
                               records::Interpolation::linear};
    for (auto& face : surround.face) {
      face.htc_constant_W_m2K = h;
      if (boiling)
        face.htc = std::make_shared<conduction::UniformTable>(60, 800, 10, table);
      face.emissivity = 0.3;
    }
    balance_.set_surround(surround);
    balance_.set_tolerance(1e-6);
    const std::vector<double> enthalpy(balance_.body_nodes(), material_.enthalpy(800));
    conduction::DenseRosenbrockW stepper;
    stepper.initialize(balance_.make_state(enthalpy.data(), nullptr, 800, 0), 0, 1e-6);
    while (stepper.current_time() < from_s)
      stepper.do_step_until(std::ref(balance_), from_s);
    start_ = stepper.current_state();
  }
  /// Temperatures one second later.
  std::vector<double> after(int steps) {
    conduction::RosenbrockW stepper;
    State x = start_;
    const double dt = 1.0 / steps;
    for (int n = 0; n < steps; ++n)
      stepper.do_step(std::ref(balance_), x, from_s + n * dt, dt);
    balance_.refresh(x);
    return balance_.temperature();
  }

 private:
  static constexpr double from_s = 0.5;
  conduction::InertMaterial material_;
  conduction::HeatOperator balance_;
  State start_;
};

void observe(const std::string& what, Quench quench, double from, double to) {
  const std::vector<double> limit = quench.after(4096);
  std::vector<double> errors;
  for (const int steps : {32, 64, 128, 256}) {
    const std::vector<double> T = quench.after(steps);
    errors.push_back(0);
    for (std::size_t n = 0; n < T.size(); ++n)
      errors.back() = std::max(errors.back(), std::abs(T[n] - limit[n]));
  }
  report_order("time, 1 s in 32 to 256 steps: " + what, errors, from, to);
}

const section::GridOptions coarse{.along = 12, .across = 2, .edge_clustering = 0},
    fine{.along = 120, .across = 16};

TEST(OrderInTime, SmoothData_IsThree) {
  observe("12 x 2 intervals, constant h", {coarse, 1500, false}, 2.7, 3.4);
}

// What is left of it: surfaces that follow, hundreds of times faster than a time step, surroundings which
// swing twice in a second; and at the corners of h(T) the right-hand side has no second derivative.
TEST(OrderInTime, StiffSystem_IsMoreThanOne) {
  observe("120 x 16 intervals, h 20 000, surroundings swing by 300 K", {fine, 20000, false, 150}, 1, 3.4);
}
TEST(OrderInTime, CornersInTheHeatTransfer_Converges) {
  observe("12 x 2 intervals, h(T) with corners", {coarse, 0, true}, 0, 4);
  observe("120 x 16 intervals, h(T) with corners", {fine, 0, true}, 0, 4);
}

} // namespace
