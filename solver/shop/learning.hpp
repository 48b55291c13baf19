// From a journal to what is believed after every entry, and from that to a case as the shop knows it. Where
// cases and logs come from is the caller's: files, or what a page keeps.
#pragma once

#include "shop/journal.hpp"
#include "shop/learn.hpp"
#include "treatment/steel_questions.hpp"

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tq::shop {

/// What a kept belief depends on beside the entries (belief_text); raised when learning or its scores change.
inline constexpr const char* belief_of = "learning 3";

/// The firings that the belief does not know, in the order of the journal; nothing when it knows one that is
/// no longer there, so that it has to be learnt afresh.
std::optional<std::vector<const Entry*>> unknown_firings(const Journal& journal, const Belief& belief);

/// Reads a log that an entry names; nothing for an empty path. Throws records::InputError.
using LogOf = std::function<std::optional<records::LogRecord>(const std::string& path)>;
/// The blade of an entry: `read` is its case with the settings of the entry. Throws records::InputError.
Blade blade_of(const treatment::Case& read, const Firing& firing, const LogOf& log_of);

/// What learning needs of its surroundings.
struct Teacher {
  std::function<Blade(const Firing&)> blade_of; ///< throws records::InputError
  answers::Executor& executor;
  std::function<bool(double share)> go_on{}; ///< false stops: treatment::Interrupted is thrown
  /// An entry that nothing was learnt from, and why.
  std::function<void(const Entry&, const std::string& why)> trouble{};
  /// The belief after each entry that was learnt from.
  std::function<void(const Belief&)> learnt{};
};
/// What is believed after every entry: `kept` and what is new since, or all afresh.
Belief believed(const Journal& journal, Belief kept, const Teacher& teacher);

/// The coupons of a steel and bar against what is computed for them; other steels are left out. Throws
/// records::InputError.
std::vector<CouponReading> coupon_readings(const Journal& journal, treatment::SubjectReader& reader,
                                           const std::string& steel, const std::string& bar);

/// "from 5 blades and 1 coupon of this shop"
std::string rests_on(int blades, int coupons);

/// The case with the belief and the coupons of its steel and bar laid under it, what it rests on among its
/// defaults; as it is where nothing was learnt. `to_leave_out`: how that is done, for the words.
treatment::Case in_shop(const treatment::Case& c, Belief belief, const std::string& bar,
                        const std::vector<CouponReading>& coupons, std::string_view to_leave_out);

} // namespace tq::shop
