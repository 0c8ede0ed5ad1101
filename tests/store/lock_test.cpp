// Who may write: the lock file, against this process and another one.
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>

#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

/// A child that takes the lock, says so, and holds it until it is killed.
class Holder {
 public:
  explicit Holder(const std::string& store_path) {
    int ends[2] = {-1, -1};
    if (pipe(ends) != 0) throw std::runtime_error("no pipe");
    child_ = fork();
    if (child_ == 0) {
      const auto lock = StoreLock::take(store_path, "the daemon of bench-4");
      const char told = lock.ok() ? 'y' : 'n';
      if (write(ends[1], &told, 1) != 1) _exit(1);
      for (;;) pause();
    }
    char told = 'n';
    if (read(ends[0], &told, 1) != 1 || told != 'y') told = 'n';
    holds_ = told == 'y';
    close(ends[0]);
    close(ends[1]);
  }
  ~Holder() { end(); }
  Holder(const Holder&) = delete;
  Holder& operator=(const Holder&) = delete;

  void end() {
    if (child_ <= 0) return;
    kill(child_, SIGKILL);
    waitpid(child_, nullptr, 0);
    child_ = -1;
  }
  [[nodiscard]] bool holds() const { return holds_; }
  [[nodiscard]] pid_t process() const { return child_; }

 private:
  pid_t child_ = -1;
  bool holds_ = false;
};

}  // namespace

TEST_CASE("a lock held by another process is named, and free when that one is gone") {
  const TemporaryFolder folder;
  Holder holder(folder.file("a.db"));
  REQUIRE(holder.holds());
  const auto refused = StoreLock::take(folder.file("a.db"), "a command");
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().kind == Fault::try_later);
  CHECK_THAT(refused.error().text, ContainsSubstring("the daemon of bench-4"));
  CHECK_THAT(refused.error().text, ContainsSubstring(fmt::format("process {}", holder.process())));
  CHECK(StoreLock::take(folder.file("b.db"), "a command").ok());
  holder.end();
  CHECK(StoreLock::take(folder.file("a.db"), "a command").ok());
}

TEST_CASE("the lock file says who holds it, and stays when the lock goes") {
  const TemporaryFolder folder;
  const std::string path = folder.file("a.db.lock");
  {
    auto first = take(StoreLock::take(folder.file("a.db"), "one"));
    CHECK(bytes_of(path) == fmt::format("{} one\n", getpid()));
    CHECK_FALSE(StoreLock::take(folder.file("a.db"), "two").ok());
    CHECK(bytes_of(path) == fmt::format("{} one\n", getpid()));
    const StoreLock moved = std::move(first);
    CHECK_FALSE(StoreLock::take(folder.file("a.db"), "two").ok());
  }
  CHECK(StoreLock::take(folder.file("a.db"), "a longer name").ok());
  CHECK(std::filesystem::exists(path));
}

TEST_CASE("a lock where no file can be made") {
  const TemporaryFolder folder;
  const auto refused = StoreLock::take(folder.file("none/a.db"), "one");
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().kind == Fault::cannot_create);
  CHECK_THAT(refused.error().text, ContainsSubstring("none/a.db.lock"));
}
