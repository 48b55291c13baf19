#include "program/corrected_rows.hpp"

#include "records/document.hpp"
#include "shop/coupon.hpp"
#include "units/text.hpp"

#include <algorithm>

namespace tq::program {

void CorrectedRows::add(const std::string& steel, const std::optional<TemperPoint>& point,
                        const std::optional<double>& measured) {
  if (point && measured && ++measured_of_[steel] > most_of_a_steel)
    throw records::InputError(units::formatted(
        "--measured: more than %zu measured rows of one steel; part the table", most_of_a_steel));
  rows_.push_back({steel, point, measured});
}

std::size_t CorrectedRows::coupons() const {
  return static_cast<std::size_t>(
      std::count_if(rows_.begin(), rows_.end(), [](const Row& r) { return r.point && r.measured; }));
}

std::vector<std::string> CorrectedRows::cells(std::size_t row) const {
  const Row& here = rows_.at(row);
  if (!here.point)
    return std::vector<std::string>(columns.size());
  std::vector<shop::CouponPoint> points;
  for (std::size_t i = 0; i < rows_.size(); ++i)
    if (i != row && rows_[i].steel == here.steel && rows_[i].point && rows_[i].measured)
      points.push_back({rows_[i].point->one_hour_degC, *rows_[i].measured - rows_[i].point->hrc});
  const shop::CurveCorrection c =
      shop::correct_curve(points, here.point->one_hour_degC, here.point->band_HRC);
  return {units::formatted("%.2f", here.point->hrc + c.shift_HRC), units::formatted("%.2f", c.band_HRC),
          std::to_string(points.size())};
}

} // namespace tq::program
