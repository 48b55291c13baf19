#include "page/journal.hpp"

#include "page/typed.hpp"
#include "records/read_log.hpp"
#include "shop/learning.hpp"
#include "shop/noting.hpp"
#include "units/quantity.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace tq::page {
namespace {

using Json = nlohmann::ordered_json;
using records::InputError;
using shop::Entry;

std::optional<records::LogRecord> log_of(const Shelf& shelf, const std::string& path) {
  if (path.empty())
    return {};
  const std::string* text = shelf.own(path);
  if (text == nullptr)
    throw InputError(path + ": is not here; open it too");
  return records::read_log(*text, path);
}

/// What an entry says, line by line as it stands, without its heading.
Json lines_of(const Entry& entry) {
  Json out = Json::array();
  for (std::size_t begin = entry.text.find('\n') + 1; begin < entry.text.size();) {
    const std::size_t end = std::min(entry.text.find('\n', begin), entry.text.size());
    if (const std::string line = entry.text.substr(begin, end - begin);
        line.find_first_not_of(" \t\r") != std::string::npos && line[0] != '#')
      out.push_back(line);
    begin = end + 1;
  }
  return out;
}

void add_firing(const shop::Journal& journal, const Entry& entry, const Shelf& shelf, Json& told,
                Json& missing) {
  const shop::Firing f = shop::read_firing(journal, entry);
  told["title"] = f.blade.empty() ? "a blade of " + f.case_path : f.blade;
  told["date"] = f.date;
  told["case"] = f.case_path;
  for (const std::string* path : {&f.case_path, &f.packet_log, &f.quench_log, &f.coupon_log, &f.oven_log})
    if (!path->empty() && shelf.own(*path) == nullptr &&
        std::find(missing.begin(), missing.end(), *path) == missing.end())
      missing.push_back(*path);
}

/// A quantity as it was typed into a field, as the journal may have it.
std::string quantity_text(const std::string& typed, const char* dimension, const char* unit, bool imperial) {
  if (typed.find_first_not_of(" \t") == std::string::npos)
    return "";
  return field_text(toml_value(
      typed, {Kind::quantity, dimension, unit_of(std::string("1 ") + unit, dimension, imperial), {}}));
}

/// "spine 64 HRC, edge 65 HRC" of a list of {zone, hrc}.
std::string places_text(const Json& list) {
  std::string out;
  for (const Json& each : list)
    if (const std::string hrc = quantity_text(text_of(each, "hrc"), "hardness_HRC", "HRC", false);
        !hrc.empty())
      out += (out.empty() ? "" : ", ") + text_of(each, "zone") + " " + hrc;
  return out;
}

std::string typed_text(const Json& typed, const shop::Asked& asked, bool imperial) {
  using AskedKind = shop::Asked::Kind;
  const auto at = typed.find(asked.key);
  if (at == typed.end())
    return "";
  switch (asked.kind) {
  case AskedKind::places:
    return at->is_array() ? places_text(*at) : text_of(typed, asked.key);
  case AskedKind::time:
    return quantity_text(text_of(typed, asked.key), "time", "s", imperial);
  case AskedKind::minutes:
    return quantity_text(text_of(typed, asked.key), "time", "min", imperial);
  case AskedKind::hardness:
    return quantity_text(text_of(typed, asked.key), "hardness_HRC", "HRC", imperial);
  case AskedKind::temperature:
    return quantity_text(text_of(typed, asked.key), "temperature", "degC", imperial);
  case AskedKind::length:
    return quantity_text(text_of(typed, asked.key), "length", "mm", imperial);
  case AskedKind::words:
  case AskedKind::feel:
  case AskedKind::log:
  case AskedKind::count:
    break;
  }
  return text_of(typed, asked.key);
}

/// Collects what is wrong, one line for each field.
class Faults {
 public:
  template <class F>
  void of(const char* key, const F& f) {
    try {
      f();
    } catch (const std::invalid_argument& error) {
      all_ += std::string(all_.empty() ? "" : "\n") + journal_file + ": " + key + ": " + error.what();
    }
  }
  void refuse() const {
    if (!all_.empty())
      throw InputError(all_);
  }

 private:
  std::string all_;
};

std::string blade_entry(const Json& typed, bool imperial) {
  shop::Firing f;
  f.date = text_of(typed, "date");
  f.case_path = text_of(typed, "case");
  f.station = text_of(typed, "station");
  f.ground = typed.value("ground", false);
  Faults faults;
  bool read = false;
  for (const shop::Asked& asked : shop::asked_of_a_blade())
    faults.of(asked.key, [&] {
      const std::string text = typed_text(typed, asked, imperial);
      shop::note_down(f, asked, text);
      read = read || (!text.empty() && std::string_view(asked.key) != "blade" &&
                      std::string_view(asked.key) != "bar");
    });
  faults.refuse();
  if (!read)
    throw InputError(std::string(journal_file) +
                     ": nothing was read yet: what the file does is enough to begin with");
  return shop::entry_text(f);
}

std::string coupon_entry(const Json& typed, const Shelf& shelf, bool imperial) {
  shop::Coupon c;
  c.date = text_of(typed, "date");
  c.steel = text_of(typed, "steel");
  Faults faults;
  for (const shop::Asked& asked : shop::asked_of_a_coupon())
    faults.of(asked.key, [&] {
      const std::string text = typed_text(typed, asked, imperial);
      if (const bool needed =
              asked.kind == shop::Asked::Kind::temperature || std::string_view(asked.key) == "hardness";
          needed && text.empty())
        throw std::invalid_argument("is missing");
      shop::note_down(c, asked, text);
    });
  faults.refuse();
  treatment::SubjectReader(shelf).read(c.steel);
  return shop::entry_text(c);
}

} // namespace

std::string text_of(const Json& from, const char* key) {
  const auto at = from.find(key);
  return at != from.end() && at->is_string() ? at->get<std::string>() : std::string();
}

void JournalOfPage::lay(const std::string& text, const std::string& learnt, std::string bar) {
  if (text.empty()) {
    laid_.reset();
    return;
  }
  Laid laid{
      shop::read_journal(text, journal_file), shop::read_belief(learnt, shop::belief_of), std::move(bar), {}};
  if (!shop::unknown_firings(laid.journal, laid.belief)) // of another journal, or of what was taken out
    laid.belief = {};
  laid_ = std::move(laid);
}

treatment::Case JournalOfPage::as_stated(const std::string& case_text, const std::string& name,
                                         const Shelf& shelf, const std::vector<records::Setting>& set) const {
  std::vector<records::Setting> settings = shop::left_open(laid_->journal, case_text, name);
  const std::size_t of_shop = settings.size();
  settings.insert(settings.end(), set.begin(), set.end());
  treatment::Case c = treatment::read_case(case_text, name, shelf, settings);
  for (std::size_t i = 0; i < of_shop; ++i)
    c.defaults.push_back("from the shop's journal: " + settings[i].path + " = " + settings[i].value);
  return c;
}

const std::vector<shop::CouponReading>& JournalOfPage::coupons_of(const std::string& steel,
                                                                  const Shelf& shelf) const {
  const auto at = laid_->coupons.find(steel);
  if (at != laid_->coupons.end())
    return at->second;
  std::vector<shop::CouponReading> readings;
  if (laid_->journal.count(Entry::Kind::coupon) > 0) {
    treatment::SubjectReader reader(shelf);
    readings = shop::coupon_readings(laid_->journal, reader, steel, laid_->bar);
  }
  return laid_->coupons[steel] = std::move(readings);
}

treatment::Case JournalOfPage::read(const std::string& case_text, const std::string& name,
                                    const Shelf& shelf) const {
  if (!laid_)
    return treatment::read_case(case_text, name, shelf);
  const treatment::Case c = as_stated(case_text, name, shelf, {});
  return shop::in_shop(c, laid_->belief, laid_->bar, coupons_of(c.steel.key, shelf),
                       "the journal can be left out");
}

shop::Blade JournalOfPage::blade_of(const shop::Firing& firing, const Shelf& shelf) const {
  const std::string* text = shelf.own(firing.case_path);
  if (text == nullptr)
    throw InputError(firing.case_path + ": is not here; open it too");
  return shop::blade_of(as_stated(*text, firing.case_path, shelf, firing.set), firing,
                        [&](const std::string& path) { return log_of(shelf, path); });
}

Json JournalOfPage::told(const Shelf& shelf) const {
  if (!laid_)
    return Json::object();
  const shop::Journal& journal = laid_->journal;
  const auto fresh = shop::unknown_firings(journal, laid_->belief);
  Json out = {{"name", journal.name},
              {"blades", journal.count(Entry::Kind::firing)},
              {"coupons", journal.count(Entry::Kind::coupon)},
              {"learnt_from", laid_->belief.blades},
              {"new", fresh ? fresh->size() : 0},
              {"remarks", laid_->belief.remarks},
              {"always", Json::array()},
              {"entries", Json::array()},
              {"missing", Json::array()}};
  for (const records::Setting& setting : journal.always)
    out["always"].push_back(setting.path + " = " + setting.value);
  for (const Entry& entry : journal.entries) {
    Json one = {{"kind", entry.kind == Entry::Kind::firing ? "blade" : "coupon"},
                {"line", entry.line},
                {"says", lines_of(entry)}};
    try {
      if (entry.kind == Entry::Kind::firing) {
        add_firing(journal, entry, shelf, one, out["missing"]);
      } else {
        const shop::Coupon coupon = shop::read_coupon(journal, entry);
        one["title"] = "coupon of " + coupon.steel;
        one["date"] = coupon.date;
      }
    } catch (const InputError& error) {
      one["title"] = "line " + std::to_string(entry.line);
      one["wrong"] = error.what();
    }
    out["entries"].push_back(std::move(one));
  }
  return out;
}

Json JournalOfPage::learn(const Shelf& shelf, const std::function<void(const Json&)>& meanwhile) {
  Json troubles = Json::array();
  if (laid_) {
    answers::SerialExecutor one_by_one;
    shop::Teacher teacher{[&](const shop::Firing& firing) { return blade_of(firing, shelf); }, one_by_one};
    teacher.trouble = [&](const Entry& entry, const std::string& why) {
      troubles.push_back({{"line", entry.line}, {"why", why}});
    };
    teacher.learnt = [&](const shop::Belief& belief) {
      if (meanwhile)
        meanwhile({{"learnt", shop::belief_text(belief, shop::belief_of)}});
    };
    laid_->belief = shop::believed(laid_->journal, laid_->belief, teacher);
  }
  return {{"learnt", laid_ ? shop::belief_text(laid_->belief, shop::belief_of) : ""},
          {"troubles", troubles},
          {"shop", told(shelf)}};
}

std::string with_entry(const Json& typed, const Shelf& shelf, bool imperial) {
  std::string text = text_of(typed, "journal");
  if (text.find_first_not_of(" \t\r\n") == std::string::npos)
    text = shop::new_journal(text_of(typed, "shop").empty() ? "my shop" : text_of(typed, "shop"));
  (void)shop::read_journal(text, journal_file); // nothing is put behind what cannot be read
  if (text.back() != '\n')
    text += '\n';
  const bool blade = text_of(typed, "steel").empty();
  text += blade ? blade_entry(typed, imperial) : coupon_entry(typed, shelf, imperial);
  const shop::Journal journal = shop::read_journal(text, journal_file);
  if (blade)
    (void)shop::read_firing(journal, journal.entries.back());
  else
    (void)shop::read_coupon(journal, journal.entries.back());
  return text;
}

} // namespace tq::page
