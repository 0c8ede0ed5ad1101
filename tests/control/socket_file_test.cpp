#include "daemon/control/socket_file.hpp"

#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <atomic>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <thread>
#include <vector>

#include "daemon/control/peer.hpp"
#include "tests/catch.hpp"
#include "tests/control/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using namespace nestcup::test;

namespace {

/// What a daemon that was killed leaves behind: a bound socket that nobody listens on.
void leave_stale_socket(const std::string& path) {
  const int socket = ::socket(AF_UNIX, SOCK_STREAM, 0);
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  std::memcpy(address.sun_path, path.data(), path.size());
  REQUIRE(bind(socket, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) == 0);
  close(socket);
  REQUIRE(std::filesystem::is_socket(path));
}

}  // namespace

TEST_CASE("the socket has mode 0660 and goes when its owner goes") {
  const TemporaryFolder folder;
  const std::string path = folder.path("a.sock");
  {
    const auto made = SocketFile::open(path);
    REQUIRE(made.ok());
    struct stat found {};
    REQUIRE(lstat(path.c_str(), &found) == 0);
    CHECK((found.st_mode & 07777) == 0660);
    CHECK(made->group() == found.st_gid);
  }
  CHECK_FALSE(std::filesystem::exists(path));
}

TEST_CASE("neither a narrow nor a wide umask changes the socket's mode") {
  const TemporaryFolder folder;
  for (const mode_t mask : {0777, 0022, 0000}) {
    INFO(mask);
    const mode_t before = umask(mask);
    const auto made = SocketFile::open(folder.path("a.sock"));
    umask(before);
    REQUIRE(made.ok());
    struct stat found {};
    REQUIRE(lstat(folder.path("a.sock").c_str(), &found) == 0);
    CHECK((found.st_mode & 07777) == 0660);
  }
}

TEST_CASE("a dead daemon's socket is replaced, a living one's is not") {
  const TemporaryFolder folder;
  const std::string path = folder.path("a.sock");
  leave_stale_socket(path);
  const auto first = SocketFile::open(path);
  REQUIRE(first.ok());
  const auto second = SocketFile::open(path);
  REQUIRE_FALSE(second.ok());
  CHECK(second.error().kind == Fault::try_later);
  CHECK_THAT(second.error().text, ContainsSubstring("another daemon answers"));
  CHECK_NOTHROW(RawCaller(path));
}

TEST_CASE("what is not a socket is never removed") {
  const TemporaryFolder folder;
  const std::string file = folder.path("notes.txt");
  std::ofstream(file) << "precious";
  const std::string link = folder.path("link.sock");
  leave_stale_socket(folder.path("stale.sock"));
  std::filesystem::create_symlink(folder.path("stale.sock"), link);
  std::filesystem::create_directory(folder.path("folder"));
  for (const std::string& path : {file, link, folder.path("folder")}) {
    INFO(path);
    const auto made = SocketFile::open(path);
    REQUIRE_FALSE(made.ok());
    CHECK(made.error().kind == Fault::cannot_create);
    CHECK_THAT(made.error().text, ContainsSubstring(path) && ContainsSubstring("not a socket"));
  }
  CHECK(std::filesystem::file_size(file) == 8);
  CHECK(std::filesystem::is_symlink(link));
}

TEST_CASE("paths that cannot be are refused with the reason") {
  const TemporaryFolder folder;
  const std::size_t room = sizeof(sockaddr_un::sun_path) - 1 - folder.path("").size();
  const auto fits = SocketFile::open(folder.path(std::string(room, 'a')));
  CHECK(fits.ok());
  const auto too_long = SocketFile::open(folder.path(std::string(room + 1, 'a')));
  REQUIRE_FALSE(too_long.ok());
  CHECK(too_long.error().kind == Fault::bad_configuration);
  CHECK_THAT(too_long.error().text, ContainsSubstring("108 bytes") && ContainsSubstring("107"));
  CHECK(SocketFile::open("").error().kind == Fault::bad_configuration);
  const auto nowhere = SocketFile::open(folder.path("missing/a.sock"));
  REQUIRE_FALSE(nowhere.ok());
  CHECK(nowhere.error().kind == Fault::cannot_create);
}

TEST_CASE("of many daemons that start on one stale socket, one wins") {
  const TemporaryFolder folder;
  const std::string path = folder.path("a.sock");
  leave_stale_socket(path);
  std::atomic<int> winners = 0;
  std::atomic<int> losers = 0;
  std::atomic<bool> go = false;
  std::vector<std::thread> daemons;
  for (int i = 0; i < 8; ++i) {
    daemons.emplace_back([&] {
      while (!go) std::this_thread::yield();
      const auto made = SocketFile::open(path);
      ++(made.ok() ? winners : losers);
      // Held until all have tried.
      for (int wait = 0; wait < 500 && winners + losers < 8; ++wait) {
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
      }
    });
  }
  go = true;
  for (std::thread& daemon : daemons) daemon.join();
  CHECK(winners == 1);
  CHECK(losers == 7);
}

TEST_CASE("somebody else's socket of the same name outlives us") {
  const TemporaryFolder folder;
  const std::string path = folder.path("a.sock");
  {
    const auto made = SocketFile::open(path);
    REQUIRE(made.ok());
    std::filesystem::rename(path, folder.path("moved.sock"));
    leave_stale_socket(path);
  }
  CHECK(std::filesystem::is_socket(path));
}

TEST_CASE("root, our own user and the socket's group come in, nobody else") {
  const auto caller = [](uid_t uid, std::vector<gid_t> groups) {
    return PeerCredentials{{uid, 1, "x"}, std::move(groups)};
  };
  CHECK(may_use(caller(0, {0}), 1000, 20));
  CHECK(may_use(caller(1000, {1000}), 1000, 20));
  CHECK(may_use(caller(1001, {1001, 20}), 1000, 20));
  CHECK_FALSE(may_use(caller(1001, {1001, 21}), 1000, 20));
  CHECK_FALSE(may_use(caller(1001, {}), 1000, 20));
}

TEST_CASE("the kernel names the caller") {
  int pair[2] = {-1, -1};
  REQUIRE(socketpair(AF_UNIX, SOCK_STREAM, 0, pair) == 0);
  const auto peer = peer_credentials(pair[0]);
  REQUIRE(peer.ok());
  CHECK(peer->peer.uid == geteuid());
  CHECK(peer->peer.pid == getpid());
  CHECK_FALSE(peer->peer.login.empty());
  CHECK(std::find(peer->groups.begin(), peer->groups.end(), getegid()) != peer->groups.end());
  close(pair[0]);
  close(pair[1]);
  CHECK_FALSE(peer_credentials(-1).ok());
}
