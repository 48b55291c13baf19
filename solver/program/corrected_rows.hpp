// Rows of a table of which some were measured: those correct the others of the same steel.
#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace tq::program {

/// What was computed for the temper of one row.
struct TemperPoint {
  double one_hour_degC = 0; ///< temper of one hour with the same Hollomon-Jaffe parameter
  double hrc = 0, band_HRC = 0;
};

class CorrectedRows {
 public:
  static constexpr std::size_t most_of_a_steel = 1000;
  static constexpr std::array<const char*, 3> columns = {"computed_corrected_HRC",
                                                         "computed_corrected_HRC_band", "computed_coupons"};

  /// `steel`: the same text for rows of the same steel. `measured`: HRC that was read of this row. A row
  /// without an answer has no point. Throws records::InputError when more than `most_of_a_steel` were
  /// measured: each corrects all others, which takes ten seconds for a thousand.
  void add(const std::string& steel, const std::optional<TemperPoint>& point,
           const std::optional<double>& measured);
  /// Rows that correct others: with an answer and a reading.
  std::size_t coupons() const;
  /// The cells of a row: what its steel's other measured rows make of its hardness (shop/coupon.hpp), the
  /// band, their number. Its own reading corrects the others, not itself.
  std::vector<std::string> cells(std::size_t row) const;

 private:
  struct Row {
    std::string steel;
    std::optional<TemperPoint> point;
    std::optional<double> measured;
  };
  std::vector<Row> rows_;
  std::map<std::string, std::size_t> measured_of_; ///< rows of a steel
};

} // namespace tq::program
