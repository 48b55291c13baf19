#include "output/files.hpp"

#include "output/text.hpp"

#include <atomic>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

namespace tq::output {
namespace {

[[noreturn]] void fail(const std::filesystem::path& path, const std::string& reason) {
  throw WriteError("cannot write " + path.string() + ": " + reason);
}

[[noreturn]] void fail(const std::filesystem::path& path, int error) { fail(path, std::strerror(error)); }

/// Closes on the way out, whatever happens.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor() {
    if (number_ >= 0)
      ::close(number_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int number() const { return number_; }
  bool close() { return ::close(std::exchange(number_, -1)) == 0; }

 private:
  int number_;
};

} // namespace

PendingFile::PendingFile(std::filesystem::path target) : target_(std::move(target)) {
  std::error_code error;
  if (target_.has_parent_path())
    std::filesystem::create_directories(target_.parent_path(), error);
  if (error)
    fail(target_, error.message());
  if (std::filesystem::is_directory(target_, error))
    fail(target_, "a folder of this name exists");

  static std::atomic<unsigned> counter{0};
  for (int tries = 0; tries < 100; ++tries) {
    const std::string name =
        formatted(".%s.%ld.%u.part", target_.filename().c_str(), static_cast<long>(::getpid()), counter++);
    std::filesystem::path candidate = target_.parent_path() / name;
    Descriptor file(::open(candidate.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
    if (file.number() >= 0) {
      temporary_ = std::move(candidate);
      return;
    }
    if (errno != EEXIST)
      fail(target_, errno);
  }
  fail(target_, "no free temporary name beside it");
}

PendingFile::~PendingFile() {
  if (temporary_.empty())
    return;
  std::error_code ignored;
  std::filesystem::remove(temporary_, ignored);
}

PendingFile::PendingFile(PendingFile&& other) noexcept
    : target_(std::move(other.target_)), temporary_(std::exchange(other.temporary_, {})) {}

void PendingFile::write(std::string_view content) const {
  Descriptor file(::open(temporary_.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666));
  if (file.number() < 0)
    fail(target_, errno);
  while (!content.empty()) {
    const ssize_t written = ::write(file.number(), content.data(), content.size());
    if (written < 0 && errno == EINTR)
      continue;
    if (written < 0)
      fail(target_, errno);
    content.remove_prefix(static_cast<std::size_t>(written));
  }
  if (!file.close())
    fail(target_, errno);
}

void PendingFile::flush_to_disk() const {
  Descriptor file(::open(temporary_.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.number() < 0)
    fail(target_, errno);
  // Some file systems cannot sync a file (EINVAL); the rename is still atomic there.
  if (::fsync(file.number()) != 0 && errno != EINVAL)
    fail(target_, errno);
}

void PendingFile::commit() {
  flush_to_disk();
  std::error_code error;
  std::filesystem::rename(temporary_, target_, error);
  if (error)
    fail(target_, error.message());
  temporary_.clear();
}

void commit_together(std::vector<PendingFile>& files) {
  for (const PendingFile& file : files) {
    file.flush_to_disk();
    std::error_code error;
    if (std::filesystem::is_directory(file.target_, error))
      fail(file.target_, "a folder of this name exists");
  }
  for (PendingFile& file : files) {
    std::error_code error;
    std::filesystem::rename(file.temporary_, file.target_, error);
    if (error)
      fail(file.target_, error.message());
    file.temporary_.clear();
  }
}

} // namespace tq::output
