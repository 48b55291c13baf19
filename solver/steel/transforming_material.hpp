// A transforming steel as the heat balance sees it: enthalpy of a mixture of constituents, austenite forming
// on heating, decomposition and martensite on cooling, each with its latent heat inside the time step.
#pragma once

#include "conduction/material.hpp"
#include "conduction/uniform_table.hpp"
#include "records/steel_record.hpp"
#include "steel/decomposition.hpp"

#include <memory>
#include <vector>

namespace tq::steel {

/// What may transform during a stage.
enum class TransformMode {
  heating,  ///< clock 0 is a, austenite share of the matrix 1 - exp(-a); clock 1 rests
  cooling,  ///< clocks are the Scheil sums of pearlite and of bainite; martensite follows temperature
  tempering ///< clock 0 is that of austenite_left(), over all tempers; clock 1 rests
};

/// Shares are by mass and sum to 1: austenite + martensite + bainite + pearlite + ferrite + cementite.
/// `ferrite` is the start structure (ferrite with its carbide) that has not become austenite; `cementite`
/// what austenite has left undissolved. Within a step the shares follow from the clocks and the temperature;
/// commit() takes them over.
class TransformingMaterial final : public conduction::Material {
 public:
  TransformingMaterial(const records::SteelRecord& steel, records::StartState start, std::size_t nodes);

  int clocks() const override { return 2; }
  int moving_clocks() const override { return mode_ != TransformMode::cooling ? 1 : rests_ ? 0 : 2; }
  void evaluate(const double* u, const double* clock, std::size_t nodes, double* T, double* k,
                double* rate) override;
  void capacity(const double* u, const double* clock, const double* T, std::size_t nodes, double* c,
                double* clock_heat_K) override;

  TransformMode mode() const { return mode_; }
  /// Begins a stage: sets what may transform and writes the clocks that belong to the present shares
  /// ([2][nodes]). Heating turns what an earlier cooling left to ferrite with its carbide first (tempered, at
  /// the enthalpy that enthalpy() then gives; assumption: its heat of tempering is left out) and keeps the
  /// austenite; true when there was any. The carbon that was in solution lies in it as fine carbide and
  /// dissolves again at the rate of a fine structure; what became coarse pearlite, and what never dissolved,
  /// at that of the start.
  bool begin(TransformMode mode, double* clock);
  /// A material of `columns` nodes for take_means(), which decides what it holds.
  TransformingMaterial column_means(std::size_t columns) const;
  /// Whether a soak may be computed by `columns`, node n lying in column n modulo their number: in each all
  /// nodes hold nearly the same (numerical choice: to what a kelvin does).
  bool alike_in(std::size_t columns) const;
  /// For a temper or a soak that is computed by columns: takes the mean shares of `nodes`, node n lying in
  /// column n modulo the number of columns, by their `mass`, what they may do and the clocks that belong to
  /// it ([2][columns]).
  void take_means(const TransformingMaterial& nodes, const std::vector<double>& mass, double* clock);
  /// Whether the rest of a cooling may be computed by `columns`: nothing but martensite still forms, all
  /// nodes are on their curves, those of a column nearly on the same (to what a tenth of a kelvin does), and
  /// at temperatures `T` [degC] it no longer tempers itself.
  bool cools_alike_in(std::size_t columns, const std::vector<double>& T) const;
  /// What a temper turns, and its clock; what a cooling does.
  struct Turning {
    std::vector<double> austenite, bainite, tempered_austenite, decay, martensite;
  };
  Turning turning() const { return {austenite_, bainite_, tempered_austenite_, decay_, martensite_}; }
  /// Does to each node, which held `nodes_from`, what a temper has done to its column, which held
  /// `columns_from`, or the end of a cooling; after a soak each is as its column is. The mixtures stay behind
  /// until take_mixtures().
  void follow(const TransformingMaterial& columns, const Turning& columns_from, const Turning& nodes_from);
  void take_mixtures();
  /// All nodes fully austenitic with the carbon that saturates at T.
  void austenitise(double T);
  /// Specific enthalpy [J/kg] of the present shares at T.
  double enthalpy(std::size_t node, double T) const;
  /// Conductivity [W/mK] of the present shares at T.
  double conductivity(std::size_t node, double T) const { return mixture_.k0[node] + mixture_.k1[node] * T; }
  /// Lowers the martensite start of what austenite is left by `lag_K` (a pause has stabilised it).
  void stabilise(double lag_K);
  /// Takes over the shares reached at the end of an accepted step of dt [s] whose mean temperatures were
  /// `T_mean`.
  void commit(const double* clock, const double* T, const double* T_mean, std::size_t nodes, double dt);

  /// Whether the clocks of a cooling stage may rest in a step of about dt [s] from the state last evaluated:
  /// then evaluate() and capacity() leave pearlite and bainite as they were at the last commit, and
  /// move_clocks() makes up for the step. They may while some such steps at the present rates would turn next
  /// to nothing since that commit (numerical choice: 1e-4 of the steel, whose heat is some hundredths of a
  /// kelvin). True when that has changed what evaluate() says.
  bool let_clocks_rest(const double* clock, const double* T, std::size_t nodes, double dt);
  bool clocks_rest() const { return rests_; }
  /// Clocks at the end of a step in which they rested, by Simpson's rule over their rates.
  void move_clocks(double* clock, const double* T_mean, const double* T, std::size_t nodes, double dt);
  /// What has turned while they rested counts again in evaluate().
  void wake_clocks() { rests_ = false; }

  const std::vector<double>& austenite() const { return austenite_; }
  const std::vector<double>& martensite() const { return martensite_; }
  const std::vector<double>& bainite() const { return bainite_; }
  const std::vector<double>& pearlite() const { return pearlite_; }
  const std::vector<double>& ferrite() const { return ferrite_; }
  const std::vector<double>& cementite() const { return cementite_; }
  const std::vector<double>& carbon() const { return carbon_; }
  /// Share of the matrix that became austenite, 0..1.
  const std::vector<double>& austenitised() const { return formed_; }
  /// Mean hardness [HV] of each node's pearlite and of its bainite, by the temperatures at which they formed.
  const std::vector<double>& pearlite_hv() const { return pearlite_hv_; }
  const std::vector<double>& bainite_hv() const { return bainite_hv_; }
  /// Part of bainite() that a temper made of retained austenite.
  const std::vector<double>& tempered_austenite() const { return tempered_austenite_; }
  /// Clock of austenite_left() at the last commit of a temper.
  const std::vector<double>& decay() const { return decay_; }
  /// Mean grain diameter [m] of the austenite, or what it was before it turned.
  const std::vector<double>& grain() const { return grain_; }
  const std::vector<double>& ms() const { return ms_; }
  /// Part of each node's martensite that formed in the last committed step of a cooling stage.
  const std::vector<double>& fresh_martensite() const { return fresh_; }

 private:
  /// h(T) = base + c0 T + c1 T^2/2 + bell bell(T) and k = k0 + k1 T of each node's committed shares.
  struct Mixtures {
    std::vector<double> base, c0, c1, bell, k0, k1;
  };
  double bell(double T) const;
  double bell_capacity(double T) const;
  bool martensite_moves(std::size_t n, double T) const { return T < moves_below_[n]; }
  double martensite_play(std::size_t n) const;
  void take_threshold(std::size_t n);
  void take_martensite_point(std::size_t n);
  void take_mixture(std::size_t n);
  bool take_apart(std::size_t n);
  /// Clock 0 of heating that stands for the share formed.
  double forming_clock(std::size_t n) const;
  void take_formed(std::size_t n);
  void take_soak_means(const TransformingMaterial& nodes, const std::vector<double>& parts);
  void follow_curves(const TransformingMaterial& columns, const Turning& columns_from,
                     const Turning& nodes_from);
  void take_curve_means(const TransformingMaterial& nodes, const std::vector<double>& parts);
  void take_growth(std::size_t n);
  void move_heating(const double* clock, std::size_t nodes);
  void move_cooling(const double* clock, std::size_t nodes);
  void move_tempering(const double* clock, std::size_t nodes);
  void find_rates(const double* T, std::size_t nodes, double* rate) const;
  double solve_with_martensite(std::size_t n, double u, double guess);
  void add_martensite_capacity(const double* T, std::size_t nodes, double* c) const;

  records::SteelRecord steel_;
  records::StartState start_;
  TransformMode mode_ = TransformMode::tempering;
  double base_austenite_, base_bainite_,
      base_martensite_; ///< enthalpy at 0 degC against ferrite and pearlite
  double born_;
  conduction::UniformTable austenite_rate_, ferrite_stays_, dissolution_rate_, fine_rate_, saturation_,
      pearlite_rate_, bainite_rate_, decay_rate_;
  std::shared_ptr<const DecompositionLaw> decomposition_; ///< never changes; copies share it
  std::vector<double> austenite_, martensite_, bainite_, pearlite_, ferrite_, cementite_, carbon_, formed_,
      ms_;
  std::vector<double> fine_carbon_;     ///< carbon [wt%] that lies in fine carbide of an earlier cooling
  std::vector<double> coarse_pearlite_; ///< part of the pearlite
  std::vector<double> fresh_, pearlite_hv_, bainite_hv_, tempered_austenite_;
  std::vector<double> grain_, grain_power_, growth_; ///< [m]; its D^n; growth of D^n not yet taken in [um^n]
  std::vector<double> growth_at_;                    ///< temperature [degC] at which it last grew
  conduction::UniformTable growth_rate_, pearlite_hardness_, bainite_hardness_;
  std::vector<double> alpha_;        ///< Koistinen-Marburger coefficient at the node's carbon
  std::vector<double> decay_;        ///< clock of austenite_left() at the last commit of a temper
  std::vector<double> matrix_;       ///< 1 - undissolved cementite at the node's carbon
  std::vector<double> clock_before_; ///< clocks at the last commit of a cooling stage
  std::vector<double> pearlite_left_, bainite_left_; ///< 1 - virtual fraction at the last commit
  Mixtures mixture_;
  /// At the last evaluate(): austenite turned since the last commit (negative on heating), the part of it
  /// that became bainite, and martensite grown.
  std::vector<double> moved_, moved_bainite_, grown_;
  std::vector<double> found_, last_K_; ///< work of evaluate()
  bool rests_ = false;                 ///< the clocks of a cooling stage rest
  double turned_ = 0;         ///< most austenite that a node has turned in the last step of such a stage
  std::vector<double> rates_; ///< of the clocks that rest, at the end of the last step
  std::vector<double> ahead_; ///< work of let_clocks_rest()
  conduction::UniformTable pearlite_left_over_, bainite_left_over_; ///< 1 - fraction over the clock
  std::vector<double> pearlite_factor_, bainite_factor_;            ///< on the rates, for the node's carbon
  std::vector<double> martensite_below_; ///< martensite grows only below this temperature
  /// 1: the node was forming martensite in the last step. It then moves along the Koistinen-Marburger curve
  /// both ways, so that the stages of a step do not straddle a kink, until its martensite has gone back by
  /// what some tenths of a kelvin stand for; there it leaves the curve, and its temperature does not jump.
  std::vector<unsigned char> on_curve_;
  std::vector<double> moves_below_;     ///< below this temperature the martensite of the node moves in a step
  std::vector<double> most_martensite_; ///< share each node has had since its cooling began
  std::vector<double> peak_martensite_; ///< and since it last came onto the curve
};

} // namespace tq::steel
