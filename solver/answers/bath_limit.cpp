#include "answers/bath_limit.hpp"

#include "answers/telling.hpp"

#include <limits>

namespace tq::answers {

BathLimit bath_limit(const treatment::Bath& bath, double flash_margin_K) {
  const records::CoolantRecord& record = bath.coolant;
  BathLimit limit{std::numeric_limits<double>::infinity(), ""};
  const auto lower_to = [&](double degC, const std::string& by) {
    if (degC < limit.degC)
      limit = {degC, by};
  };
  if (record.recommended_to_degC > record.recommended_from_degC)
    lower_to(record.recommended_to_degC, "its usual window ends");
  if (record.smoke_degC)
    lower_to(*record.smoke_degC, "it smokes");
  if (record.flash_degC)
    lower_to(*record.flash_degC - flash_margin_K,
             "it is " + difference_text(flash_margin_K) + " below its flash point");
  return limit;
}

BathLimit row_limit(const treatment::Bath& bath, double flash_margin_K) {
  const BathLimit limit = bath_limit(bath, flash_margin_K);
  const records::CoolantRecord& record = bath.coolant;
  // a cold bath does not get worse on its way to the usual window
  const bool cold = record.recommended_to_degC > record.recommended_from_degC &&
                    bath.temperature_degC < record.recommended_from_degC;
  const double risen_degC = (cold ? record.recommended_from_degC : bath.temperature_degC) + most_bath_rise_K;
  return risen_degC < limit.degC ? BathLimit{risen_degC, "it is " + difference_text(most_bath_rise_K) +
                                                             (cold ? " above where its usual window begins"
                                                                   : " above the fresh bath")}
                                 : limit;
}

} // namespace tq::answers
