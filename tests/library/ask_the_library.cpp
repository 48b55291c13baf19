// Computes a case with the library alone and tells its ledger: ask_the_library CASE.toml MATERIALS
#include "answers/compute.hpp"
#include "records/document.hpp"

#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>

namespace fs = std::filesystem;
using tq::treatment::RecordKind;
using tq::treatment::RecordText;

namespace {

std::optional<std::string> contents(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return in ? std::optional(std::string(std::istreambuf_iterator<char>(in), {})) : std::nullopt;
}

/// The library opens no file: whoever embeds it says where records come from.
class Shelf : public tq::treatment::RecordSource {
 public:
  explicit Shelf(fs::path folder) : folder_(std::move(folder)) {}
  std::optional<RecordText> shipped(RecordKind kind, const std::string& key) const override {
    return at_path(kind, (place(kind) / (key + ".toml")).string());
  }
  std::optional<RecordText> at_path(RecordKind, const std::string& path) const override {
    const auto text = contents(path);
    return text ? std::optional(RecordText{*text, path}) : std::nullopt;
  }
  std::vector<std::string> keys(RecordKind kind) const override {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(place(kind)))
      if (entry.path().extension() == ".toml")
        out.push_back(entry.path().stem().string());
    return out;
  }

 private:
  fs::path place(RecordKind kind) const {
    switch (kind) {
    case RecordKind::steel:
      return folder_ / "steels";
    case RecordKind::coolant:
      return folder_ / "coolants";
    case RecordKind::foil:
      return folder_ / "foils";
    case RecordKind::solid:
      return folder_ / "solids";
    default:
      return folder_;
    }
  }
  fs::path folder_;
};

} // namespace

int main(int count, char** arguments) {
  if (count != 3) {
    std::cerr << "usage: ask_the_library CASE.toml MATERIALS\n";
    return 2;
  }
  const auto text = contents(arguments[1]);
  if (!text) {
    std::cerr << arguments[1] << " cannot be read\n";
    return 2;
  }
  try {
    const auto computed = tq::answers::compute(*text, arguments[1], Shelf(arguments[2]));
    for (const auto& v : computed.ledger.verdicts)
      if (v.station == tq::answers::whole_blade)
        std::cout << v.key << ' ' << tq::answers::verdict_name(v.judgement.verdict) << '\n';
    for (const auto& f : computed.ledger.figures)
      if (f.zone == tq::answers::no_zone)
        std::cout << f.figure->meaning.name << ' ' << f.stated << ' ' << f.figure->meaning.unit << '\n';
  } catch (const tq::records::InputError& e) {
    std::cerr << e.what() << '\n';
    return 2;
  }
}
