// The journal of the shop as the page keeps it: its text, what was learnt of it, and the cases and logs that
// it names, which stand on the shelf.
#pragma once

#include "page/shelf.hpp"
#include "shop/belief.hpp"
#include "shop/journal.hpp"
#include "shop/learn.hpp"

#include <functional>
#include <map>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

namespace tq::page {

/// How the page calls its journal.
inline constexpr const char* journal_file = "shop.toml";

/// The text under a key of what the page asks, empty where there is none.
std::string text_of(const nlohmann::ordered_json& asked, const char* key);

class JournalOfPage {
 public:
  /// Lays a journal under every case that is read from now on; an empty text takes it away. `learnt`: as
  /// learn() gave it, of this journal or of one with fewer entries. Throws records::InputError and leaves
  /// what was laid before.
  void lay(const std::string& text, const std::string& learnt, std::string bar);

  /// Reads a case as the shop knows it, which is what the program does with --shop. Throws
  /// records::InputError.
  treatment::Case read(const std::string& case_text, const std::string& file, const Shelf& shelf) const;

  /// Name, numbers, entries with what is wrong with them, what is not on the shelf.
  nlohmann::ordered_json told(const Shelf& shelf) const;

  /// Learns what is new; `meanwhile` is handed what is learnt after each blade ("learnt", a text to be kept).
  nlohmann::ordered_json learn(const Shelf& shelf,
                               const std::function<void(const nlohmann::ordered_json&)>& meanwhile);

 private:
  struct Laid {
    shop::Journal journal;
    shop::Belief belief;
    std::string bar;
    mutable std::map<std::string, std::vector<shop::CouponReading>> coupons; ///< by steel, once asked for
  };
  treatment::Case as_stated(const std::string& case_text, const std::string& file, const Shelf& shelf,
                            const std::vector<records::Setting>& set) const;
  const std::vector<shop::CouponReading>& coupons_of(const std::string& steel, const Shelf& shelf) const;
  shop::Blade blade_of(const shop::Firing& firing, const Shelf& shelf) const;

  std::optional<Laid> laid_;
};

/// A journal with one more entry, a blade or a coupon, from what was typed (bench.hpp). Throws
/// records::InputError with a line for each field that is wrong.
std::string with_entry(const nlohmann::ordered_json& typed, const Shelf& shelf, bool imperial);

} // namespace tq::page
