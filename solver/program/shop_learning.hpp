// What the journal of a shop teaches, kept beside it so that only what is new is learnt.
#pragma once

#include "answers/log_beside.hpp"
#include "program/options.hpp"
#include "shop/belief.hpp"
#include "shop/journal.hpp"
#include "shop/learn.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace tq::program {

/// What is believed after every entry. Entries that are new since the last time are learnt and what came of
/// it is kept in a file beside the journal (its name and ".learnt"), where one can be written; an entry that
/// was changed or taken out makes it learn afresh. What cannot be learnt is told on standard error. Throws
/// treatment::Interrupted.
shop::Belief believed(const Options& options, const std::filesystem::path& shop_file,
                      const shop::Journal& journal);

/// The case as the shop knows it, with what it rests on among its defaults. Throws records::InputError.
treatment::Case in_shop(const Options& options, const std::filesystem::path& shop_file,
                        const shop::Journal& journal, const treatment::Case& c);

/// Belief of the shop for this case: `belief` and the coupons of its steel and bar.
shop::Belief with_coupons(const Options& options, const std::filesystem::path& shop_file,
                          const shop::Journal& journal, const treatment::Case& c, shop::Belief belief,
                          int& coupons);

/// The coupons of a steel and bar against what is computed for them; other steels are left out.
std::vector<shop::CouponReading> coupon_readings(const Options& options,
                                                 const std::filesystem::path& shop_file,
                                                 const shop::Journal& journal, const std::string& steel,
                                                 const std::string& bar);

/// A blade of the journal as it was made. Throws records::InputError.
shop::Blade blade_of(const Options& options, const std::filesystem::path& shop_file,
                     const shop::Firing& firing);

/// The logs that the journal has of blades made by `case_path`, the last of each kind, beside what is
/// computed of that blade in the shop as it is known. Logs that cannot be read are left out.
std::vector<answers::LogBeside> logs_beside(const Options& options, const std::filesystem::path& shop_file,
                                            const std::string& case_path, answers::Executor& executor);

} // namespace tq::program
