#include "shop/belief.hpp"

#include "units/text.hpp"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <stdexcept>

namespace tq::shop {
namespace {

constexpr std::string_view heading = "thinquench belief 1", ending = "end";

/// The lines of a text, one after the other.
class LineReader {
 public:
  explicit LineReader(std::string_view text) : rest_(text) {}
  bool next(std::string_view& line) {
    if (rest_.empty())
      return false;
    const std::size_t end = rest_.find('\n');
    line = rest_.substr(0, end);
    rest_ = end == std::string_view::npos ? std::string_view() : rest_.substr(end + 1);
    return true;
  }
  /// The numbers of the next line, which must be `n`.
  bool numbers(Eigen::Index n, double* to) {
    std::string_view line;
    if (!next(line))
      return false;
    const std::string text(line);
    const char* at = text.c_str();
    for (Eigen::Index i = 0; i < n; ++i) {
      char* end = nullptr;
      to[i] = std::strtod(at, &end);
      if (end == at || !std::isfinite(to[i]))
        return false;
      at = end;
    }
    return *at == '\0';
  }

 private:
  std::string_view rest_;
};

bool count_of(LineReader& lines, std::string_view word, std::size_t& out) {
  std::string_view line;
  if (!lines.next(line) || line.substr(0, word.size()) != word)
    return false;
  const std::string number(line.substr(word.size()));
  char* end = nullptr;
  const long value = std::strtol(number.c_str(), &end, 10);
  constexpr long most = 1000000; // of anything that is counted here
  if (end == number.c_str() || *end != '\0' || value < 0 || value > most)
    return false;
  out = static_cast<std::size_t>(value);
  return true;
}

bool read_into(LineReader& lines, std::string_view of, Belief& belief) {
  std::string_view line;
  if (!lines.next(line) || line != heading || !lines.next(line) || line != of)
    return false;
  std::size_t blades = 0, digests = 0, remarks = 0, scores = 0;
  if (!count_of(lines, "blades ", blades) || !count_of(lines, "entries ", digests))
    return false;
  belief.blades = static_cast<int>(blades);
  for (std::size_t i = 0; i < digests; ++i) {
    if (!lines.next(line))
      return false;
    belief.learnt.push_back(std::strtoull(std::string(line).c_str(), nullptr, 16));
  }
  if (!count_of(lines, "remarks ", remarks))
    return false;
  for (std::size_t i = 0; i < remarks; ++i) {
    if (!lines.next(line))
      return false;
    belief.remarks.emplace_back(line);
  }
  constexpr std::size_t most_scores = 2000;
  if (!count_of(lines, "scores ", scores) || scores > most_scores)
    return false;
  for (std::size_t i = 0; i < scores; ++i) {
    if (!lines.next(line))
      return false;
    if (belief.at(std::string(line)) != static_cast<Eigen::Index>(i))
      return false;
  }
  const auto n = static_cast<Eigen::Index>(scores);
  Eigen::VectorXd mean(n);
  Eigen::MatrixXd covariance(n, n);
  if (n > 0 && !lines.numbers(n, mean.data()))
    return false;
  for (Eigen::Index i = 0; i < n; ++i) { // the lower half; Eigen keeps columns together
    Eigen::VectorXd row(i + 1);
    if (!lines.numbers(i + 1, row.data()))
      return false;
    for (Eigen::Index j = 0; j <= i; ++j)
      covariance(i, j) = covariance(j, i) = row(j);
  }
  if (!lines.next(line) || line != ending)
    return false; // cut off, perhaps within a number
  belief.set(std::move(mean), std::move(covariance));
  return true;
}

} // namespace

Eigen::Index Belief::find(const std::string& name) const {
  const auto found = std::find(names_.begin(), names_.end(), name);
  return found == names_.end() ? -1 : static_cast<Eigen::Index>(found - names_.begin());
}

Eigen::Index Belief::at(const std::string& name) {
  if (const Eigen::Index known = find(name); known >= 0)
    return known;
  const auto n = static_cast<Eigen::Index>(names_.size());
  names_.push_back(name);
  mean_.conservativeResize(n + 1);
  mean_(n) = 0;
  Eigen::MatrixXd grown = Eigen::MatrixXd::Identity(n + 1, n + 1);
  grown.topLeftCorner(n, n) = covariance_;
  covariance_ = std::move(grown);
  return n;
}

void Belief::set(Eigen::VectorXd mean, Eigen::MatrixXd covariance) {
  mean_ = std::move(mean);
  covariance_ = 0.5 * (covariance + covariance.transpose().eval());
}

void Belief::observe(const Eigen::MatrixXd& effect, const Eigen::VectorXd& y, const Eigen::MatrixXd& noise) {
  const Eigen::MatrixXd across = covariance_ * effect.transpose();
  const Eigen::LLT<Eigen::MatrixXd> read(effect * across + noise);
  if (read.info() != Eigen::Success)
    throw std::invalid_argument("the noise of the readings is no covariance");
  const Eigen::MatrixXd gain = read.solve(across.transpose()).transpose();
  set(mean_ + gain * (y - effect * mean_), covariance_ - gain * across.transpose());
}

std::string belief_text(const Belief& belief, std::string_view of) {
  std::string text = std::string(heading) + "\n" + std::string(of) + "\n";
  text +=
      "blades " + std::to_string(belief.blades) + "\nentries " + std::to_string(belief.learnt.size()) + "\n";
  for (const std::uint64_t digest : belief.learnt)
    text += units::formatted("%llx\n", static_cast<unsigned long long>(digest));
  text += "remarks " + std::to_string(belief.remarks.size()) + "\n";
  for (const std::string& remark : belief.remarks)
    text += remark + "\n";
  text += "scores " + std::to_string(belief.size()) + "\n";
  for (const std::string& name : belief.names())
    text += name + "\n";
  const auto put = [&](double value) { text += units::formatted("%.17g ", value); };
  const auto end_line = [&] { text.back() = '\n'; };
  const auto n = static_cast<Eigen::Index>(belief.size());
  for (Eigen::Index i = 0; i < n; ++i)
    put(belief.mean()(i));
  if (n > 0)
    end_line();
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j <= i; ++j)
      put(belief.covariance()(i, j));
    end_line();
  }
  return text + std::string(ending) + "\n";
}

Belief read_belief(std::string_view text, std::string_view of) {
  Belief belief;
  LineReader lines(text);
  if (!read_into(lines, of, belief))
    return {};
  return belief;
}

} // namespace tq::shop
