#include "bench.hpp"

#include "conduction/fin_mesh.hpp"

#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>

namespace tq::verification {

namespace {

std::vector<std::string>& lines() {
  static std::vector<std::string> all;
  return all;
}

std::string table() {
  std::string all =
      "| Compared | Points | Greatest error | Allowed | Exact solution |\n|---|---|---|---|---|\n";
  for (const std::string& line : lines())
    all += line + "\n";
  return all;
}

/// The rows about the defaults, name and error, for the page that everybody reads.
std::string table_of_defaults() {
  const std::string begins = "| defaults: ";
  std::string all = "| With the default grid and tolerance | Greatest error |\n|---|---|\n";
  for (const std::string& line : lines())
    if (line.compare(0, begins.size(), begins) == 0) {
      const std::size_t name_end = line.find(" | "), points_end = line.find(" | ", name_end + 1),
                        error_end = line.find(" | ", points_end + 1);
      all += "| " + line.substr(begins.size(), name_end - begins.size()) +
             line.substr(points_end, error_end - points_end) + " |\n";
    }
  return all;
}

std::string read(const char* path) {
  std::ifstream in(path);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// After the last test: prints the table; when all tests ran it must be the one in README.md here, its rows
/// about the defaults those in the README.md of the project, or they are put there
/// (TQ_WRITE_TABLE=1).
class KeepTable : public ::testing::Environment {
 public:
  void TearDown() override {
    std::printf("\n%s\n", table().c_str());
    if (GTEST_FLAG_GET(filter) != "*")
      return;
    keep(TQ_SOURCE_DIR "/tests/verification/README.md", table());
    keep(TQ_SOURCE_DIR "/README.md", table_of_defaults());
  }

 private:
  /// `table` stands in the page, after the first column's head as it is there.
  static void keep(const char* page, const std::string& table) {
    const std::string now = read(page);
    if (now.find(table) != std::string::npos)
      return;
    const std::size_t begin = now.find(table.substr(0, table.find(" |", 1))), end = now.find("\n\n", begin);
    if (begin == std::string::npos || end == std::string::npos || !std::getenv("TQ_WRITE_TABLE")) {
      ADD_FAILURE() << page << " has another table; bring it up to date: TQ_WRITE_TABLE=1 verification";
      return;
    }
    std::ofstream(page) << now.substr(0, begin) << table << now.substr(end + 1);
  }
};

const auto* const keep_table = ::testing::AddGlobalTestEnvironment(new KeepTable);

} // namespace

section::Profile plate(double width, double thickness) { return taper(width, thickness, thickness); }

section::Profile taper(double width, double spine, double edge) {
  section::GrindSpec spec;
  spec.width = width;
  spec.spine = spine;
  spec.edge = edge;
  return section::profile_from_grind(spec);
}

Bench::Bench(const section::Profile& profile, const section::GridOptions& options,
             const records::Table& conductivity, const records::Table& specific_heat, double density,
             double T0, Solved solved)
    : grid_(section::make_grid(profile, options)), material_(conductivity, specific_heat),
      operator_(solved == Solved::as_fin ? conduction::make_fin(conduction::make_mesh(grid_))
                                         : conduction::make_mesh(grid_),
                density, material_),
      T0_(T0) {
  enthalpy_.assign(operator_.body_nodes(), material_.enthalpy(T0));
  surround.temperature = [](double) { return 0.0; };
}

void Bench::as_steady_fin(double h, double excess_K) {
  everywhere(h, 0);
  surround.face[spine_face].htc_constant_W_m2K = 1e8;
  surround.face[edge_face].htc_constant_W_m2K = 0;
  surround.extra_K.assign(static_cast<std::size_t>(nx()), 0.0);
  surround.extra_K.front() = excess_K;
}

void Bench::everywhere(double h, double T_env) {
  for (auto& face : surround.face)
    face.htc_constant_W_m2K = h;
  surround.temperature = [T_env](double) { return T_env; };
}

void Bench::set_start(const std::function<double(double, double)>& T) {
  for (int j = 0; j < grid_.ny; ++j)
    for (int i = 0; i < grid_.nx; ++i)
      enthalpy_[static_cast<std::size_t>(j * grid_.nx + i)] =
          material_.enthalpy(T(grid_.x[static_cast<std::size_t>(i)], grid_.y(i, j)));
}

void Bench::start() {
  operator_.set_foil(foil);
  operator_.set_surround(surround);
  operator_.set_tolerance(tolerance_K);
  operator_.begin_stage(slow);
  operator_.start_bath(0);
  conduction::StepRule rule;
  rule.max_step_s = max_step_s;
  stepper_ = std::make_unique<conduction::DenseRosenbrockW>(rule);
  stepper_->initialize(operator_.make_state(enthalpy_.data(), nullptr, T0_, 0), 0, first_step_s);
  energy_start_ = operator_.energy(stepper_->current_state());
}

void Bench::run_to(double t) {
  if (!stepper_)
    start();
  while (stepper_->current_time() < t)
    stepper_->do_step_until(std::ref(operator_), t);
  operator_.refresh(stepper_->current_state());
}

bool Bench::step_towards(double t) {
  if (!stepper_)
    start();
  if (stepper_->current_time() >= t)
    return false;
  stepper_->do_step_until(std::ref(operator_), t);
  operator_.refresh(stepper_->current_state());
  return true;
}

double Bench::node(int i, int j) const {
  return operator_.temperature()[static_cast<std::size_t>(j * grid_.nx + i)];
}

double Bench::along(double x, int j) const {
  int i = 0;
  while (i + 2 < grid_.nx && grid_.x[static_cast<std::size_t>(i) + 1] < x)
    ++i;
  const int from = std::clamp(i - 1, 0, grid_.nx - 4);
  double sum = 0;
  for (int a = from; a < from + 4; ++a) {
    double weight = 1;
    for (int b = from; b < from + 4; ++b)
      if (b != a)
        weight *= (x - grid_.x[static_cast<std::size_t>(b)]) /
                  (grid_.x[static_cast<std::size_t>(a)] - grid_.x[static_cast<std::size_t>(b)]);
    sum += weight * node(a, j);
  }
  return sum;
}

double Bench::foil_node(int face, int n) const {
  std::size_t offset = 0;
  const std::size_t layers = static_cast<std::size_t>(foil.layers);
  for (int f = 0; f < face; ++f) {
    const bool flank = f == flank_a || f == flank_b;
    if (!(f == flank_b && grid_.half))
      offset += layers * static_cast<std::size_t>(flank ? grid_.nx : grid_.ny);
  }
  return operator_.foil_temperature()[offset + static_cast<std::size_t>(n)];
}

double Bench::mean() const {
  double sum = 0, mass = 0;
  for (std::size_t n = 0; n < operator_.body_nodes(); ++n) {
    sum += operator_.mass()[n] * operator_.temperature()[n];
    mass += operator_.mass()[n];
  }
  return sum / mass;
}

double Bench::heat_out() const {
  return stepper_->current_state()[static_cast<Eigen::Index>(operator_.heat_out_index())];
}

double Bench::environment() const {
  return operator_.environment(stepper_->current_time(), stepper_->current_state());
}

double Bench::energy_residual() const {
  return std::abs(operator_.energy(stepper_->current_state()) - energy_start_) / std::abs(heat_out());
}

Comparison::Comparison(std::string what, std::string unit, double allowed, std::string source)
    : what_(std::move(what)), unit_(std::move(unit)), source_(std::move(source)), allowed_(allowed) {}

void Comparison::add(double computed, double exact) {
  ++points_;
  const double error = std::abs(computed - exact);
  if (!(error <= worst_))
    worst_ = error; // NaN is kept
}

Comparison::~Comparison() {
  char text[64], limit[64];
  if (worst_ < 1e-9) // rounding, which libraries of mathematics do each in their own way
    std::snprintf(text, sizeof text, "< 1e-9 %s", unit_.c_str());
  else
    std::snprintf(text, sizeof text, "%.2g %s", worst_, unit_.c_str());
  std::snprintf(limit, sizeof limit, "%.2g %s", allowed_, unit_.c_str());
  lines().push_back("| " + what_ + " | " + std::to_string(points_) + " | " + text + " | " + limit + " | " +
                    source_ + " |");
  EXPECT_LE(worst_, allowed_) << what_;
  EXPECT_GT(points_, 0) << what_;
}

void report_order(const std::string& what, const std::vector<double>& errors, double from, double to) {
  std::string text;
  for (std::size_t n = 0; n + 1 < errors.size(); ++n) {
    const double order = std::log2(errors[n] / errors[n + 1]);
    EXPECT_GE(order, from) << what;
    EXPECT_LE(order, to) << what;
    char part[32];
    std::snprintf(part, sizeof part, "%s%.2f", n == 0 ? "" : ", ", order);
    text += part;
  }
  char last[96];
  std::snprintf(last, sizeof last, "order %s; finest %.2g K", text.c_str(), errors.back());
  char limits[64];
  std::snprintf(limits, sizeof limits, "order %.1f to %.1f", from, to);
  lines().push_back("| " + what + " | " + std::to_string(errors.size()) + " grids | " + last + " | " +
                    limits + " | |");
}

} // namespace tq::verification
