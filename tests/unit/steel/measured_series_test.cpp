// The composition model of tempering against the series it was fitted to, and against each of them left out
// of the fit: the table in README.md beside this file. Rows: measured_tempering.csv, Hollomon & Jaffe 1945
// (Trans. AIME 162, 223), Grange & Baughman 1956 (Trans. ASM 48), Penha 2010, as in the open compilation
// "Tempering data for carbon and low alloy steels" (Raiipa, CC-BY-4.0). The fit is made here a second time,
// apart from scripts/fit_temper_model.
#include "../../support/readme_table.hpp"
#include "shipped.hpp"
#include "steel/hardness.hpp"
#include "steel/temper.hpp"
#include "steel/temper_model.hpp"

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <sstream>
#include <vector>

namespace tq::steel {
namespace {

struct Row {
  records::Composition wt;
  double Al = 0, T_degC = 0, time_s = 0, measured_HRC = 0;
  Eigen::VectorXd terms; ///< of the linear model
  double weight = 0;
};
struct Series {
  std::string name, year;
  std::vector<Row> rows;
  Eigen::MatrixXd A; ///< its part of the normal equations
  Eigen::VectorXd b;

  bool has(const char* word) const { return name.find(word) != std::string::npos; }
  double carbon() const { return rows.front().wt.C; }
  /// Vanadium, silicon or aluminium that stands in no other series.
  bool apart() const { return has("6145") || has("9264") || has("Nitriding"); }
  bool plain_knife_steel() const { return year == "1945" && carbon() >= 0.6; }
};

const TemperModel& model() {
  static const TemperModel read =
      read_temper_model(shipped::text_of(shipped::materials() / "temper_model.toml"), "temper_model.toml");
  return read;
}

/// Cells of a line; quotes hold commas together.
std::vector<std::string> cells_of(const std::string& text) {
  std::vector<std::string> out(1);
  bool quoted = false;
  for (const char c : text)
    if (c == '"')
      quoted = !quoted;
    else if (c == ',' && !quoted)
      out.emplace_back();
    else
      out.back() += c;
  return out;
}

/// What the coefficients are multiplied with: the form that scripts/fit_temper_model states.
Eigen::VectorXd terms_of(const Row& row) {
  const TemperModel& m = model();
  const double constant = m.constant_h + m.constant_per_carbon * row.wt.C;
  const double one_hour =
      equivalent_temperature(hollomon_jaffe(row.T_degC, row.time_s, constant), 3600, constant);
  const double x = (one_hour - m.middle_degC) / m.scale_K;
  const double carbon = std::tanh(std::min(row.wt.C, m.carbon_end) / m.carbon_saturation);
  const double onset = 1 / (1 + std::exp(-(one_hour - m.onset_degC) / m.onset_width_K));
  Eigen::VectorXd f(18);
  for (int i = 0; i < 4; ++i) {
    f[i] = std::pow(x, i);
    f[4 + i] = carbon * f[i];
  }
  for (int e = 0; e < 5; ++e)
    for (int i = 0; i < 2; ++i)
      f[8 + 2 * e + i] = row.wt.*TemperModel::elements[static_cast<std::size_t>(e)] * onset * f[i];
  return f;
}

/// As the head of the script says: specimens that were hot for less than 300 s lagged behind their bath; V
/// and Al stand in one series each; 0.31 %C was not hardened through; 2010 scatters; knives count four times.
double weight_of(const Series& s, const Row& row) {
  const bool never = row.wt.V > 0.05 || row.Al > 0.05 || (s.year == "1945" && row.wt.C < 0.4);
  if (never || row.time_s < 300 || row.measured_HRC < 20)
    return 0;
  const bool knife = row.wt.C >= 0.55 && row.T_degC >= 140 && row.T_degC <= 360;
  return (s.year == "2010" ? 0.1 : 1.0) * (knife ? 4.0 : 1.0);
}

std::vector<Series> read_series() {
  std::istringstream in(shipped::text_of(TQ_SOURCE_DIR "/tests/unit/steel/measured_tempering.csv"));
  std::string text;
  std::getline(in, text);
  const std::vector<std::string> heading = cells_of(text);
  std::vector<Series> all;
  while (std::getline(in, text)) {
    const std::vector<std::string> cells = cells_of(text);
    const auto cell = [&](const char* name) {
      return cells.at(
          static_cast<std::size_t>(std::find(heading.begin(), heading.end(), name) - heading.begin()));
    };
    const auto number = [&](const char* name) { return std::stod(cell(name)); };
    const std::string source = cell("source"), year = source.substr(source.size() - 4);
    // rows of one series need not stand together
    auto at = std::find_if(all.begin(), all.end(),
                           [&](const Series& s) { return s.name == cell("steel") && s.year == year; });
    if (at == all.end())
      at = all.insert(at, {cell("steel"), year, {}, {}, {}});
    Row row;
    row.wt.C = number("C");
    row.wt.Mn = number("Mn");
    row.wt.Si = number("Si");
    row.wt.Ni = number("Ni");
    row.wt.Cr = number("Cr");
    row.wt.Mo = number("Mo");
    row.wt.V = number("V");
    row.Al = number("Al");
    row.T_degC = number("temperature_degC");
    row.time_s = number("time_s");
    row.measured_HRC = number("final_hrc");
    at->rows.push_back(row);
  }
  for (Series& s : all) {
    s.A = Eigen::MatrixXd::Zero(21, 21);
    s.b = Eigen::VectorXd::Zero(21);
    const int laboratory = 18 + (s.year == "1945" ? 0 : s.year == "1956" ? 1 : 2);
    for (Row& row : s.rows) {
      row.terms = terms_of(row);
      row.weight = weight_of(s, row);
      Eigen::VectorXd with_laboratory = Eigen::VectorXd::Zero(21);
      with_laboratory.head(18) = row.terms;
      with_laboratory[laboratory] = 1;
      s.A += row.weight * with_laboratory * with_laboratory.transpose();
      s.b += row.weight * row.measured_HRC * with_laboratory;
    }
  }
  std::stable_sort(all.begin(), all.end(), [](const Series& a, const Series& b) {
    return std::make_pair(a.year, a.carbon()) < std::make_pair(b.year, b.carbon());
  });
  return all;
}

const std::vector<Series>& all_series() {
  static const std::vector<Series> read = read_series();
  return read;
}

/// Weighted ridge least squares over all series but one; the laboratories' offsets (0.2 HRC for 1945 and
/// 1956, 2 for 2010, against 3 HRC^2 of a row) are left away.
Eigen::VectorXd fitted_without(const Series* left_out) {
  Eigen::MatrixXd A = Eigen::MatrixXd::Zero(21, 21);
  Eigen::VectorXd b = Eigen::VectorXd::Zero(21);
  for (const Series& s : all_series())
    if (&s != left_out) {
      A += s.A;
      b += s.b;
    }
  for (int i = 1; i < 18; ++i)
    A(i, i) += i < 8 ? 0.01 : 1.0;
  A(18, 18) += 3 / 0.04;
  A(19, 19) += 3 / 0.04;
  A(20, 20) += 3 / 4.0;
  return A.ldlt().solve(b).head(18);
}

struct Errors {
  double squares = 0, sum = 0;
  int count = 0;
  void add(double e) {
    squares += e * e;
    sum += e;
    ++count;
  }
  void add(const Errors& other) {
    squares += other.squares;
    sum += other.sum;
    count += other.count;
  }
  double rms() const { return std::sqrt(squares / count); }
  double bias() const { return sum / count; }
};

bool of_knives(const Row& r) {
  return r.T_degC >= 150 && r.T_degC <= 350 && r.time_s >= 600 && r.time_s <= 28800;
}
bool on_scale(const Row& r) { return r.measured_HRC > 20 && r.time_s >= 300; }

Errors errors_of(const Series& s, const Eigen::VectorXd& coefficients, bool (*chosen)(const Row&)) {
  Errors e;
  for (const Row& row : s.rows)
    if (chosen(row))
      e.add(row.terms.dot(coefficients) - row.measured_HRC);
  return e;
}

struct Judged {
  Errors fitted_knives, left_knives, fitted_scale, left_scale;
  void add(const Judged& other) {
    fitted_knives.add(other.fitted_knives);
    left_knives.add(other.left_knives);
    fitted_scale.add(other.fitted_scale);
    left_scale.add(other.left_scale);
  }
  /// A line of the table.
  std::string row(const std::string& name, const std::string& carbon) const {
    std::string out = "| " + name + " | " + carbon;
    for (const auto& [fitted, left] :
         {std::pair(&fitted_knives, &left_knives), {&fitted_scale, &left_scale}}) {
      const auto rounded = [](double v) { return std::round(100 * v) / 100 + 0.0; }; // no "-0.00"
      char text[100];
      std::snprintf(text, sizeof text, " | %d | %.2f | %+.2f | %.2f | %+.2f", fitted->count, fitted->rms(),
                    rounded(fitted->bias()), left->rms(), rounded(left->bias()));
      out += text;
    }
    return out + " |\n";
  }
};

Judged judged(const Series& s) {
  const Eigen::VectorXd all = fitted_without(nullptr), others = fitted_without(&s);
  return {errors_of(s, all, of_knives), errors_of(s, others, of_knives), errors_of(s, all, on_scale),
          errors_of(s, others, on_scale)};
}

Judged pooled(const std::function<bool(const Series&)>& chosen) {
  Judged sum;
  for (const Series& s : all_series())
    if (chosen(s))
      sum.add(judged(s));
  return sum;
}

bool is_knife(const Series& s) { return s.plain_knife_steel(); }
bool is_other(const Series& s) { return !s.apart() && s.year != "2010" && !s.plain_knife_steel(); }

TEST(MeasuredSeries, AreWhole) {
  EXPECT_EQ(all_series().size(), 30U);
  std::size_t rows = 0;
  for (const Series& s : all_series())
    rows += s.rows.size();
  EXPECT_EQ(rows, 1243U);
}

// The shipped coefficients are the fit to these rows and to nothing else; they are printed to five digits.
TEST(MeasuredSeries, FittedAfresh_GiveTheShippedModel) {
  const Eigen::VectorXd fit = fitted_without(nullptr);
  const TemperModel& m = model();
  Eigen::VectorXd shipped_ones(18);
  for (int i = 0; i < 4; ++i) {
    shipped_ones[i] = m.base[static_cast<std::size_t>(i)];
    shipped_ones[4 + i] = m.carbon[static_cast<std::size_t>(i)];
  }
  for (int e = 0; e < 5; ++e)
    for (int i = 0; i < 2; ++i)
      shipped_ones[8 + 2 * e + i] = m.alloy[static_cast<std::size_t>(e)][static_cast<std::size_t>(i)];
  for (int i = 0; i < 18; ++i)
    EXPECT_NEAR(shipped_ones[i], fit[i], 1e-4 * std::abs(fit[i]) + 1e-6) << i;
  // the errors that make the bands are those of the left-out series
  EXPECT_NEAR(m.error_knives_HRC, pooled(is_knife).left_knives.rms(), 0.005);
  EXPECT_NEAR(m.error_elsewhere_HRC, pooled(is_other).left_scale.rms(), 0.005);
}

// The band is that of a laboratory nobody knows. Of the rows of series left out, those of all three laboratories
// together lie inside nine times in ten (85 to 95 %; 225 rows); those of the two that agree with each other more
// often.
TEST(MeasuredSeries, BandOfTheModel_HoldsNineInTenWhateverTheLaboratory) {
  struct Held {
    double held = 0, all = 0;
    double share() const { return held / all; }
  };
  const auto held = [](bool (*of)(const Series&), bool (*chosen)(const Row&)) {
    Held sum;
    for (const Series& s : all_series()) {
      if (!of(s))
        continue;
      const Eigen::VectorXd others = fitted_without(&s);
      for (const Row& row : s.rows)
        if (chosen(row)) {
          const double band = tempered_hardness(model(), row.wt, row.T_degC, row.time_s).band_HRC;
          sum.held += std::abs(row.terms.dot(others) - row.measured_HRC) <= band ? 1 : 0;
          sum.all += 1;
        }
    }
    return sum;
  };
  const Held knives = held(is_knife, of_knives), other = held(is_other, of_knives),
             scattered = held([](const Series& s) { return s.year == "2010"; }, of_knives);
  EXPECT_GE(knives.share(), 0.85);
  EXPECT_GE(other.share(), 0.85);
  EXPECT_GE(held(is_other, on_scale).share(), 0.85);
  EXPECT_GE(scattered.share(), 0.5); // the third laboratory by itself: 57 %, its offset is 4 HRC
  const double together =
      (knives.held + other.held + scattered.held) / (knives.all + other.all + scattered.all);
  EXPECT_GE(together, 0.85);
  EXPECT_LE(together, 0.95);
}

// What the model was made to reach: 2.0 HRC left out over the three plain-carbon series in the window of
// knives (1.5 the aim), 3 HRC over the other series above 20 HRC.
TEST(MeasuredSeries, LeftOut_AreMetAsWanted) {
  const Errors knives = pooled(is_knife).left_knives, others = pooled(is_other).left_scale;
  EXPECT_EQ(knives.count, 24);
  EXPECT_LT(knives.rms(), 1.5);
  EXPECT_GT(others.count, 600);
  EXPECT_LT(others.rms(), 3.0);
}

TEST(MeasuredSeries, TableInTheReadme_IsTrue) {
  std::string t =
      "| Measured series | %C | rows | rms | bias | left out: rms | bias | rows above 20 HRC | rms | bias | "
      "left out: rms | bias |\n|---|---|---|---|---|---|---|---|---|---|---|---|\n";
  for (const Series& s : all_series()) {
    char carbon[10];
    std::snprintf(carbon, sizeof carbon, "%.2f", s.carbon());
    t += judged(s).row(s.name + " (" + s.year + ")", carbon);
  }
  t += pooled(is_knife).row("**three plain-carbon series**", "0.6 and more");
  t += pooled(is_other).row("**21 other series**", "");
  t += pooled([](const Series& s) { return s.year == "2010"; }).row("**series of 2010**", "");
  t += pooled([](const Series& s) { return s.apart(); }).row("**V, Si or Al of no other series**", "");
  test::expect_in_readme("tests/unit/steel", t);
}

// Shipped curves, with the constant of their record, against the measured series nearest in composition:
// inside the temperatures and times of knives and between the points of the curve. 5160 of 2010 stands 3-4
// HRC under its sheets, for whatever reason; it is shown, not tuned away.
TEST(MeasuredSeries, ShippedCurvesTableInTheReadme_IsTrue) {
  const struct {
    const char *key, *word;
    double most_rms; ///< 1.5 HRC where the compositions are near each other: the aim of the composition model
  } pairs[] = {{"1075", "0.74%C", 1.5}, {"1084", "0.74%C", 1.5}, {"1084", "0.89%C", 1.5},
               {"1095", "0.89%C", 1.5}, {"W2", "0.89%C", 1.5},   {"1095", "1.15%C", 0},
               {"W2", "1.15%C", 0},     {"5160", "5160", 0}};
  std::string t = "| Shipped curve | Measured series | rows | rms | bias |\n|---|---|---|---|---|\n";
  for (const auto& pair : pairs) {
    const records::TemperCurve& curve = shipped::steels().at(pair.key).temper;
    const TemperResponse response(curve);
    const auto parameter = [&](double T, double time_s) {
      return hollomon_jaffe(T, time_s, curve.hj_constant_h);
    };
    const double first = parameter(curve.temperature_degC.front(), curve.hold_s),
                 last = parameter(curve.temperature_degC.back(), curve.hold_s);
    const auto& series = *std::find_if(all_series().begin(), all_series().end(),
                                       [&](const Series& s) { return s.has(pair.word); });
    Errors e;
    for (const Row& row : series.rows)
      if (const double P = parameter(row.T_degC, row.time_s); of_knives(row) && P >= first && P <= last)
        e.add(hrc_from_hv(hv_from_hrc(curve.as_quenched_HRC) * response.factor(P)) - row.measured_HRC);
    t += test::line("| %s | %s (%s) | %d | %.2f | %+.2f |", pair.key, series.name.c_str(),
                    series.year.c_str(), e.count, e.rms(), e.bias());
    if (pair.most_rms > 0) {
      EXPECT_LT(e.rms(), pair.most_rms) << pair.key;
    }
  }
  test::expect_in_readme("tests/unit/steel", t);
}

} // namespace
} // namespace tq::steel
