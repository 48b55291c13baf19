#include "tapered_bar.hpp"

#include "records/table.hpp"
#include "section/profile.hpp"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <memory>

namespace tq::test {

TaperedBar::TaperedBar(int along, int across, bool half) {
  section::GrindSpec spec;
  spec.width = 0.030;
  spec.spine = 0.004;
  spec.edge = 0.0005;
  section::GridOptions options;
  options.along = along;
  options.across = across;
  options.use_symmetry = half;
  grid = section::make_grid(section::profile_from_grind(spec), options);
  mesh = conduction::make_mesh(grid);
  const records::Table table{{60, 200, 300, 400, 500, 550, 600, 700, 800},
                             {300, 350, 600, 1500, 2800, 3000, 2400, 800, 400}};
  htc = conduction::UniformTable(0, 900, 1, [&](double T) { return table(T); });
}

std::array<double, 7> TaperedBar::points(const std::vector<double>& T) const {
  const int centre = grid.half ? 0 : (grid.ny - 1) / 2, top = grid.ny - 1;
  const auto at = [&](double x, int row) { // cubic in x along one line of the grid
    int i = 0;
    while (i + 2 < grid.nx && grid.x[static_cast<std::size_t>(i + 1)] < x - 1e-12)
      ++i;
    const int first = std::max(0, std::min(i - 1, grid.nx - 4));
    double value = 0;
    for (int a = first; a < first + 4; ++a) {
      double w = 1;
      for (int b = first; b < first + 4; ++b)
        if (b != a)
          w *= (x - grid.x[static_cast<std::size_t>(b)]) /
               (grid.x[static_cast<std::size_t>(a)] - grid.x[static_cast<std::size_t>(b)]);
      value += w * T[static_cast<std::size_t>(row * grid.nx + a)];
    }
    return value;
  };
  return {at(0.030, centre), at(0.030, top), at(0.025, centre), at(0.015, centre),
          at(0.015, top),    at(0, centre),  at(0, top)};
}

double thread_seconds() {
  timespec t{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

double greatest_difference(const PointsAtTimes& a, const PointsAtTimes& b) {
  double worst = 0;
  for (std::size_t t = 0; t < a.size(); ++t)
    for (std::size_t p = 0; p < 7; ++p)
      worst = std::max(worst, std::abs(a[t][p] - b[t][p]));
  return worst;
}

OurBar::OurBar(const TaperedBar& bar)
    : material({{0, 1000}, {TaperedBar::k0, TaperedBar::k0 + 1000 * TaperedBar::k1}},
               {{0, 1000}, {TaperedBar::c0, TaperedBar::c0 + 1000 * TaperedBar::c1}}),
      op(bar.mesh, TaperedBar::density, material) {
  conduction::Surround surround;
  surround.temperature = [](double) { return TaperedBar::bath_degC; };
  const auto table = std::make_shared<const conduction::UniformTable>(bar.htc);
  for (auto& face : surround.face)
    face.htc = table;
  op.set_surround(surround);
}

conduction::State OurBar::state(const std::vector<double>& T) const {
  std::vector<double> enthalpy(T.size());
  for (std::size_t n = 0; n < T.size(); ++n)
    enthalpy[n] = material.enthalpy(T[n]);
  return op.make_state(enthalpy.data(), nullptr, TaperedBar::start_degC, 0);
}

OurRun run_ours(const TaperedBar& bar, double tolerance_K) {
  OurRun run;
  const double begin = thread_seconds();
  OurBar ours(bar);
  ours.op.set_tolerance(tolerance_K);
  conduction::DenseRosenbrockW stepper;
  stepper.initialize(ours.state(std::vector<double>(bar.nodes(), TaperedBar::start_degC)), 0, 1e-3);
  for (double stop : TaperedBar::times_s) {
    while (stepper.current_time() < stop)
      stepper.do_step_until(std::ref(ours.op), stop);
    ours.op.refresh(stepper.current_state());
    run.points.push_back(bar.points(ours.op.temperature()));
  }
  run.seconds = thread_seconds() - begin;
  run.steps = stepper.steps();
  run.rejected = stepper.rejected();
  return run;
}

} // namespace tq::test
