// A quenched body with a thermocouple at its centre: heat conduction in one direction, so that a whole test
// costs a fraction of a millisecond and can be repeated thousands of times to recover h from it.
#pragma once

#include "conduction/uniform_table.hpp"
#include "records/probe_record.hpp"

#include <cstddef>
#include <functional>
#include <limits>
#include <vector>

namespace tq::surroundings {

/// h over surface temperature [W/m2K over degC].
using SurfaceHtc = std::function<double(double)>;

/// What is quenched, in SI, ready to compute with.
struct Probe {
  records::BodyShape shape = records::BodyShape::cylinder;
  double half_thickness_m = 0; ///< half the plate, or the radius
  double start_degC = 0;
  double sensor_lag_s = 0; ///< time constant of the thermocouple at the centre; 0: none
  double density_kg_m3 = 0;
  conduction::UniformTable conductivity_W_mK, specific_heat_J_kgK;
};

/// The record's material in the given body. `steps_degC` of the tables: 10 K.
Probe make_probe(const records::ProbeRecord& record, const records::ProbeBody& body);

/// One quench, at the solver's own times (ascending, from 0).
struct ProbeTrace {
  std::vector<double> time_s;
  std::vector<double> sensor_degC;     ///< what the thermocouple shows
  std::vector<double> sensor_rate_K_s; ///< d/dt of it, negative on cooling
  std::vector<double> surface_degC;

  std::size_t size() const { return time_s.size(); }
  /// What the sensor shows at `t` (cubic through values and slopes of the step; the ends hold outside).
  double sensor_at(double t_s) const;
  /// The same at many ascending times.
  void sensor_at(const std::vector<double>& times_s, std::vector<double>& out) const;
};

/// Ends of a run: the first that is reached.
struct ProbeEnd {
  double time_s = 120;
  double sensor_degC = -std::numeric_limits<double>::infinity();
};

/// Small departures from the record, for the doubt about it.
struct ProbeDoubt {
  double conductivity_factor = 1, specific_heat_factor = 1;
  double start_shift_K = 0;
  double sensor_lag_s = -1; ///< negative: the probe's own
};

/// Quenches a probe; keeps its working space, so that runs after the first allocate nothing.
///
/// Vertex-centred finite volumes, nodes clustered to the surface; ROS2 (Verwer, Spee, Blom & Hundsdorfer
/// 1999, SIAM J. Sci. Comput. 20, 1456), a W method of order 2 and L-stable, with the tridiagonal Jacobian of
/// frozen properties and the true slope of the surface flux. The step lets the surface cool by about
/// `surface_step_K`, which follows the passage from vapour blanket to boiling.
class ProbeSolver {
 public:
  explicit ProbeSolver(Probe probe, std::size_t intervals = 20, double surface_step_K = 5);

  const Probe& probe() const { return probe_; }
  /// `h` over surface temperature with its slope; bath [degC].
  void run(const conduction::UniformTable& h, double bath_degC, const ProbeEnd& end, const ProbeDoubt& doubt,
           ProbeTrace& out);
  ProbeTrace run(const SurfaceHtc& h, double bath_degC, const ProbeEnd& end);

 private:
  void rates(const std::vector<double>& T, const conduction::UniformTable& h, double bath_degC,
             std::vector<double>& f);
  void solve(std::vector<double>& x) const;

  Probe probe_;
  double surface_step_K_;
  std::vector<double> face_,
      volume_; ///< per radian or steradian; face_[i] between i and i + 1, over distance
  double surface_area_ = 0;
  double k_factor_ = 1, c_factor_ = 1;
  std::vector<double> T_, T1_, f_, k1_, k2_, conductance_, per_capacity_, k_node_, sup_;
  std::vector<double> factor_low_, factor_diag_;
};

/// h as a table for ProbeSolver: steps of `step_K` between `from` and `to`.
conduction::UniformTable htc_table(const SurfaceHtc& h, double from_degC, double to_degC, double step_K = 5);

} // namespace tq::surroundings
