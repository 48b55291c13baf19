#include "treatment/fin.hpp"

#include "conduction/fin_mesh.hpp"
#include "steel/temper_nodes.hpp"

#include <algorithm>
#include <cmath>

namespace tq::treatment {

using conduction::State;

namespace {

bool alike(const conduction::FaceExchange& a, const conduction::FaceExchange& b) {
  return a.htc == b.htc && a.htc_constant_W_m2K == b.htc_constant_W_m2K && a.emissivity == b.emissivity;
}

/// Tempering parameters of a column that differ by less are taken between the least and the greatest, in
/// proportion: at most 1.6 off [K] for a while, 0.004 HRC (T log10(exp) has a curvature of ln 10 / 4 T), and
/// nothing once the temper has done more than the quench.
constexpr double close_tempering = 100;

/// Whether both flanks see the same, unshared. What scale adds to the emissivity in air, when steel is
/// `cooling`, is the same on all faces (treatment/steps/air).
bool plain(const conduction::Surround& s, bool cooling) {
  using namespace conduction::side;
  for (int f : {flank_a, flank_b, spine, edge})
    if (conduction::has_second(s, f) || (s.emissivity_factor[static_cast<std::size_t>(f)] && !cooling))
      return false;
  return alike(s.face[flank_a], s.face[flank_b]);
}

} // namespace

Fin::Fin(const conduction::HeatOperator& section, double density_kg_m3,
         const steel::TransformingMaterial& steel)
    : columns_(static_cast<std::size_t>(section.mesh().nx)), half_thickness_(columns_),
      steel_(steel.column_means(columns_)), op_(conduction::make_fin(section.mesh()), density_kg_m3, steel_) {
  const conduction::Mesh& mesh = op_.mesh();
  for (std::size_t i = 0; i < columns_; ++i)
    half_thickness_[i] = mesh.area[i] / (mesh.top_length[i] + (mesh.half ? 0.0 : mesh.bottom_length[i]));
}

std::optional<double> Fin::across_K(const conduction::HeatOperator& op,
                                    const steel::TransformingMaterial& steel, const State& x,
                                    double t) const {
  const conduction::Surround& surround = op.surround();
  const conduction::Envelope& cover = op.envelope();
  const bool is_fin = &op == &op_;
  if (surround.bath_capacity_J_mK > 0 ||
      !(cover.bare() ? plain(surround, steel.mode() == steel::TransformMode::cooling) : cover.even()))
    return {};
  const std::vector<double>& T = op.temperature();
  const double env = op.environment(t, x);
  const conduction::FaceExchange& flank = surround.face[conduction::side::flank_a];
  const auto& scale = surround.emissivity_factor[conduction::side::flank_a];
  const double emissivity = flank.emissivity * (scale ? scale(t) : 1.0);
  const std::size_t last = T.size() - columns_; // first node of flank A
  const steel::TransformingMaterial& material = is_fin ? steel_ : steel;
  if (!is_fin && steel.mode() == steel::TransformMode::heating && !steel.alike_in(columns_))
    return {};
  if (!is_fin && steel.mode() == steel::TransformMode::cooling && !steel.cools_alike_in(columns_, T))
    return {};
  double most = 0;
  for (std::size_t i = 0; i < columns_; ++i) {
    const double T_flank = T[last + i];
    double q = 0, uneven = 0; // [W/m2] from the flanks, and by what they differ
    if (cover.bare()) {
      const double T_env = env + conduction::extra_at(surround, conduction::side::flank_a, i);
      q = conduction::flux(flank, emissivity, T_flank, T_env, conduction::fourth(T_env));
    } else {
      q = cover.flux_inside(conduction::side::flank_a, i, T.data());
      if (!op.mesh().half) {
        const double other = cover.flux_inside(conduction::side::flank_b, i, T.data());
        uneven = std::abs(q - other);
        q = std::max(std::abs(q), std::abs(other));
      }
    }
    most = std::max(most, (std::abs(q) / 3 + uneven / 2) * half_thickness_[i] /
                              material.conductivity(last + i, T_flank));
    constexpr double of_all = 2.0 / 3.0; // from flank to middle: a parabola's mean lies that far from its end
    for (std::size_t n = i; n < last; n += columns_)
      most = std::max(most, of_all * std::abs(T[n] - T_flank));
  }
  return most;
}

State Fin::gather(const conduction::HeatOperator& section, const State& x,
                  const steel::TransformingMaterial& steel, const std::vector<double>& tempering) {
  const std::vector<double>& mass = section.mass();
  std::vector<double> enthalpy(columns_, 0.0), clocks(2 * columns_, 0.0);
  steel_.take_means(steel, mass, clocks.data());
  columns_from_ = steel_.turning();
  nodes_from_ = steel.turning();
  for (std::size_t n = 0; n < mass.size(); ++n)
    enthalpy[n % columns_] += mass[n] * x[static_cast<Eigen::Index>(n)];
  for (std::size_t i = 0; i < columns_; ++i)
    enthalpy[i] /= op_.mass()[i];
  op_.set_cover(section.envelope().cover());
  op_.set_surround(section.surround());
  State own = op_.make_state(enthalpy.data(), clocks.data(), 0,
                             x[static_cast<Eigen::Index>(section.heat_out_index())]);
  op_.envelope().gather(section.envelope(), x.data() + section.body_nodes(), own.data() + columns_);
  const std::vector<double>& T = section.temperature();
  op_.guess({T.begin(), T.begin() + static_cast<std::ptrdiff_t>(columns_)});
  op_.refresh(own);
  before_ = op_.temperature();
  if (steel_.mode() == steel::TransformMode::tempering)
    take_tempering(tempering);
  const double* clock = x.data() + section.clock_offset();
  clocks_.assign(clock, clock + section.clock_count());
  return own;
}

void Fin::take_tempering(const std::vector<double>& tempering) {
  const std::size_t nodes = tempering.size();
  std::vector<double> range(tempering.begin(), tempering.begin() + static_cast<std::ptrdiff_t>(columns_));
  range.insert(range.end(), range.begin(), range.begin() + static_cast<std::ptrdiff_t>(columns_));
  for (std::size_t n = columns_; n < nodes; ++n) {
    double &least = range[n % columns_], &most = range[columns_ + n % columns_];
    least = std::min(least, tempering[n]);
    most = std::max(most, tempering[n]);
  }
  in_order_ = true;
  for (std::size_t i = 0; i < columns_; ++i)
    in_order_ = in_order_ && range[columns_ + i] - range[i] <= close_tempering;
  tempering_ = in_order_ ? range : tempering;
  place_.assign(in_order_ ? nodes : 0, 0.0);
  for (std::size_t n = 0; n < place_.size(); ++n) {
    const double least = range[n % columns_], most = range[columns_ + n % columns_];
    place_[n] = most > least ? (tempering[n] - least) / (most - least) : 0.0;
  }
  warm_.resize(tempering_.size());
  temperatures(warm_);
}

void Fin::commit(const State& x, double dt) {
  const std::vector<double>& T = op_.temperature();
  mean_.resize(columns_);
  for (std::size_t i = 0; i < columns_; ++i)
    mean_[i] = 0.5 * (before_[i] + T[i]);
  before_ = T;
  steel_.commit(x.data() + op_.clock_offset(), T.data(), mean_.data(), columns_, dt);
  if (steel_.mode() != steel::TransformMode::heating) // there the same heat is another temperature now
    op_.keep_evaluation(x);
}

void Fin::temper(double dt, double constant_h) {
  warm_before_.swap(warm_);
  warm_.resize(tempering_.size());
  temperatures(warm_);
  steel::temper_nodes(tempering_.size(), warm_before_.data(), warm_.data(), dt, constant_h,
                      tempering_.data());
}

void Fin::settle(steel::TransformingMaterial& steel, std::vector<double>& tempering) const {
  steel.follow(steel_, columns_from_, nodes_from_);
  if (steel_.mode() != steel::TransformMode::tempering)
    return;
  if (!in_order_) {
    tempering = tempering_;
    return;
  }
  for (std::size_t n = 0; n < place_.size(); ++n) {
    const double least = tempering_[n % columns_];
    tempering[n] = least + place_[n] * (tempering_[columns_ + n % columns_] - least);
  }
}

State Fin::spread(const conduction::HeatOperator& section, const State& x,
                  steel::TransformingMaterial& steel) const {
  const std::vector<double>& mass = section.mass();
  const std::size_t nodes = mass.size();
  steel.take_mixtures();
  std::vector<double> enthalpy(nodes), clocks(2 * nodes, 0.0), left(x.data(), x.data() + columns_);
  for (std::size_t n = 0; n < nodes; ++n) {
    enthalpy[n] = steel.enthalpy(n, op_.temperature()[n % columns_]);
    left[n % columns_] -= mass[n] / op_.mass()[n % columns_] * enthalpy[n];
    clocks[n] = steel_.mode() == steel::TransformMode::heating
                    ? x[static_cast<Eigen::Index>(op_.clock_offset() + n % columns_)]
                    : steel.decay()[n];
  }
  if (steel_.mode() == steel::TransformMode::cooling)
    clocks = clocks_;
  for (std::size_t n = 0; n < nodes; ++n) // what rounding has left
    enthalpy[n] += left[n % columns_];
  State out = section.make_state(enthalpy.data(), clocks.data(), 0,
                                 x[static_cast<Eigen::Index>(op_.heat_out_index())]);
  op_.envelope().spread(section.envelope(), x.data() + columns_, out.data() + nodes);
  return out;
}

void Fin::temperatures(std::vector<double>& nodes) const {
  for (std::size_t n = 0; n < nodes.size(); n += columns_)
    std::copy(op_.temperature().begin(), op_.temperature().end(),
              nodes.begin() + static_cast<std::ptrdiff_t>(n));
}

} // namespace tq::treatment
