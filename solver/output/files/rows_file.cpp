#include "output/files/rows_file.hpp"

#include "output/files/files.hpp"
#include "output/json.hpp"
#include "records/document.hpp"
#include "sweep/plan.hpp"

#include <bit>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <limits>
#include <nlohmann/json.hpp>
#include <optional>
#include <sys/file.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

namespace tq::output {
namespace {

namespace fs = std::filesystem;
using records::InputError;

static_assert(std::endian::native == std::endian::little, "rows are written as they lie in memory");

constexpr std::string_view magic = "thinquench rows 1\n";

/// FNV-1a of 32 bits (Fowler, Noll & Vo; public domain): finds what a write left half done.
std::uint32_t checksum(const unsigned char* bytes, std::size_t size) {
  std::uint32_t sum = 2166136261U;
  for (std::size_t i = 0; i < size; ++i)
    sum = (sum ^ bytes[i]) * 16777619U;
  return sum;
}

/// What stands before each record.
struct Frame {
  std::uint32_t size = 0, sum = 0; ///< of what follows
};
/// What a record begins with; then come the values, or the failure as text.
struct RecordHead {
  std::uint64_t number = 0;
  std::uint64_t failed = 0;
};

std::string framed(std::string_view content) {
  const Frame frame{static_cast<std::uint32_t>(content.size()),
                    checksum(reinterpret_cast<const unsigned char*>(content.data()), content.size())};
  std::string out(sizeof frame, '\0');
  std::memcpy(out.data(), &frame, sizeof frame);
  return out.append(content);
}

/// The size of the framed piece at `at`; nothing when it is not whole.
std::optional<std::size_t> whole_piece(const unsigned char* bytes, std::size_t size, std::size_t at) {
  Frame frame;
  if (size < at || size - at < sizeof frame)
    return {};
  std::memcpy(&frame, bytes + at, sizeof frame);
  if (size - at - sizeof frame < frame.size || checksum(bytes + at + sizeof frame, frame.size) != frame.sum)
    return {};
  return sizeof frame + frame.size;
}

std::string head_text(const RowsHead& head) {
  const nlohmann::ordered_json out = {{"plan_sha256", head.plan_sha256},
                                      {"cases", head.cases},
                                      {"width", head.width},
                                      {"shard", head.shard},
                                      {"shards", head.shards},
                                      {"details", head.details}};
  return json_line(out);
}

[[noreturn]] void no_rows(const fs::path& path, const std::string& why) {
  throw InputError(path.string() + ": " + why);
}

[[noreturn]] void cannot_write(const fs::path& path, std::size_t rows) {
  throw WriteError("cannot write " + path.string() + ": " + std::strerror(errno) + "; its " +
                   std::to_string(rows) + " cases are kept, the same command goes on from there");
}

/// The whole file as memory that is only read.
class Mapped {
 public:
  Mapped(int descriptor, const fs::path& path) {
    struct stat file {};
    if (::fstat(descriptor, &file) != 0)
      no_rows(path, std::strerror(errno));
    if (!S_ISREG(file.st_mode))
      no_rows(path, "is no file of rows of a sweep");
    size = static_cast<std::size_t>(file.st_size);
    if (size == 0)
      return;
    void* at = ::mmap(nullptr, size, PROT_READ, MAP_SHARED, descriptor, 0);
    if (at == MAP_FAILED)
      no_rows(path, std::strerror(errno));
    bytes = static_cast<const unsigned char*>(at);
  }
  ~Mapped() {
    if (bytes != nullptr)
      ::munmap(const_cast<unsigned char*>(bytes), size);
  }
  Mapped(const Mapped&) = delete;
  Mapped& operator=(const Mapped&) = delete;
  const unsigned char* release() { return std::exchange(bytes, nullptr); }

  const unsigned char* bytes = nullptr;
  std::size_t size = 0;
};

bool begins_right(const unsigned char* bytes, std::size_t size) {
  return size >= magic.size() && std::memcmp(bytes, magic.data(), magic.size()) == 0;
}

/// The head, and where the records begin.
std::pair<RowsHead, std::size_t> read_head(const unsigned char* bytes, std::size_t size,
                                           const fs::path& path) {
  const auto piece = begins_right(bytes, size) ? whole_piece(bytes, size, magic.size()) : std::nullopt;
  if (!piece)
    no_rows(path, "is no file of rows of a sweep");
  const char* text = reinterpret_cast<const char*>(bytes) + magic.size() + sizeof(Frame);
  const nlohmann::ordered_json json = parsed_json({text, *piece - sizeof(Frame)});
  try {
    RowsHead head;
    head.plan_sha256 = json.at("plan_sha256").get<std::string>();
    head.cases = json.at("cases").get<std::size_t>();
    head.width = json.at("width").get<std::size_t>();
    head.shard = json.at("shard").get<std::size_t>();
    head.shards = json.at("shards").get<std::size_t>();
    head.details = json.at("details").get<std::string>();
    constexpr std::size_t widest = 1'000'000; // of the values of a case; a sweep has some ten
    if (head.cases >= 1 && head.cases <= sweep::most_cases && head.width <= widest)
      return {head, magic.size() + *piece};
    no_rows(path, "its head is damaged");
  } catch (const nlohmann::ordered_json::exception&) {
    no_rows(path, "its head is damaged");
  }
}

/// Calls `take(number, at)` for each whole record; returns where the whole part ends.
template <class Take>
std::size_t each_record(const unsigned char* bytes, std::size_t size, std::size_t at, const RowsHead& head,
                        const Take& take) {
  for (;;) {
    const auto piece = whole_piece(bytes, size, at);
    if (!piece || *piece < sizeof(Frame) + sizeof(RecordHead))
      return at;
    RecordHead record;
    std::memcpy(&record, bytes + at + sizeof(Frame), sizeof record);
    const bool fits = *piece == sizeof(Frame) + sizeof record + head.width * sizeof(double);
    if (record.number >= head.cases || (record.failed == 0 && !fits))
      return at;
    take(static_cast<std::size_t>(record.number), at);
    at += *piece;
  }
}

} // namespace

RowsFile::RowsFile(fs::path path, const RowsHead& head)
    : path_(std::move(path)), head_(head), there_(head.cases, false) {
  std::error_code none;
  if (!fs::exists(path_, none)) {
    PendingFile fresh(path_); // complete with its head or not there
    fresh.write(std::string(magic) + framed(head_text(head)));
    fresh.commit();
  }
  descriptor_ = ::open(path_.c_str(), O_RDWR | O_CLOEXEC);
  if (descriptor_ < 0)
    throw WriteError("cannot write " + path_.string() + ": " + std::strerror(errno));
  try {
    if (::flock(descriptor_, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK)
      no_rows(path_, "another process is computing these cases");
    const Mapped all(descriptor_, path_);
    const auto [found, begin] = read_head(all.bytes, all.size, path_);
    if (found.plan_sha256 != head.plan_sha256 || found.cases != head.cases || found.width != head.width)
      no_rows(path_, "belongs to another plan (or this one, its case, a record or the program was changed "
                     "since); name another output, or remove it to begin anew");
    if (found.shard != head.shard || found.shards != head.shards)
      no_rows(path_, "is shard " + std::to_string(found.shard) + "/" + std::to_string(found.shards) +
                         ", not " + std::to_string(head.shard) + "/" + std::to_string(head.shards));
    end_ = each_record(all.bytes, all.size, begin, head_, [&](std::size_t number, std::size_t) {
      rows_ += there_[number] ? 0 : 1;
      there_[number] = true;
    });
    if (end_ < all.size && ::ftruncate(descriptor_, static_cast<off_t>(end_)) != 0)
      cannot_write(path_, rows_);
  } catch (...) {
    ::close(descriptor_);
    throw;
  }
}

RowsFile::~RowsFile() {
  if (descriptor_ >= 0)
    ::close(descriptor_);
}

void RowsFile::add(const sweep::Row& row) {
  const RecordHead record{row.number, row.failure.empty() ? 0U : 1U};
  std::string content(sizeof record, '\0');
  std::memcpy(content.data(), &record, sizeof record);
  if (row.failure.empty()) {
    if (row.values.size() != head_.width)
      throw std::logic_error("a row does not fit its file");
    const std::size_t at = content.size();
    content.resize(at + row.values.size() * sizeof(double));
    std::memcpy(content.data() + at, row.values.data(), row.values.size() * sizeof(double));
  } else {
    content += row.failure;
  }
  const std::string bytes = framed(content);
  for (std::size_t done = 0; done < bytes.size();) {
    const ssize_t written =
        ::pwrite(descriptor_, bytes.data() + done, bytes.size() - done, static_cast<off_t>(end_ + done));
    if (written < 0 && errno == EINTR)
      continue;
    if (written < 0)
      cannot_write(path_, rows_); // what stands behind the whole part is cut off when it is opened again
    done += static_cast<std::size_t>(written);
  }
  end_ += bytes.size();
  rows_ += there_[row.number] ? 0 : 1;
  there_[row.number] = true;
}

RowsReader::RowsReader(const fs::path& path) : path_(path) {
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK); // a FIFO is not waited for
  if (descriptor < 0)
    no_rows(path, std::string("cannot be read: ") + std::strerror(errno));
  struct Closer {
    int descriptor;
    ~Closer() { ::close(descriptor); }
  } closer{descriptor};
  Mapped all(descriptor, path);
  const auto [found, begin] = read_head(all.bytes, all.size, path);
  head_ = found;
  std::vector<bool> there(head_.cases, false);
  each_record(all.bytes, all.size, begin, head_, [&](std::size_t number, std::size_t at) {
    if (!there[number])
      places_.push_back({number, at});
    there[number] = true;
  });
  size_ = all.size;
  bytes_ = all.release();
}

RowsReader::~RowsReader() {
  if (bytes_ != nullptr)
    ::munmap(const_cast<unsigned char*>(bytes_), size_);
}

RowsReader::RowsReader(RowsReader&& other) noexcept
    : path_(std::move(other.path_)), head_(std::move(other.head_)),
      bytes_(std::exchange(other.bytes_, nullptr)), size_(std::exchange(other.size_, 0)),
      places_(std::move(other.places_)) {}

bool RowsReader::failed(std::size_t at) const {
  RecordHead record;
  std::memcpy(&record, bytes_ + at + sizeof(Frame), sizeof record);
  return record.failed != 0;
}

double RowsReader::value(std::size_t at, std::size_t column) const {
  if (failed(at))
    return std::numeric_limits<double>::quiet_NaN();
  double out = 0;
  std::memcpy(&out, bytes_ + at + sizeof(Frame) + sizeof(RecordHead) + column * sizeof out, sizeof out);
  return out;
}

std::string RowsReader::failure(std::size_t at) const {
  if (!failed(at))
    return {};
  Frame frame;
  std::memcpy(&frame, bytes_ + at, sizeof frame);
  return {reinterpret_cast<const char*>(bytes_) + at + sizeof(Frame) + sizeof(RecordHead),
          frame.size - sizeof(RecordHead)};
}

} // namespace tq::output
