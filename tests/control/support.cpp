#include "tests/control/support.hpp"

#include <poll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <array>
#include <boost/asio/post.hpp>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <stdexcept>

namespace nestcup::test {

using daemon::Reply;
using daemon::Request;

TemporaryFolder::TemporaryFolder() {
  folder_ = (std::filesystem::temp_directory_path() / "nestcup-control-XXXXXX").string();
  if (mkdtemp(folder_.data()) == nullptr) throw std::runtime_error("no temporary folder");
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(folder_, ignored);
}

RawCaller::RawCaller(const std::string& path) : socket_(socket(AF_UNIX, SOCK_STREAM, 0)) {
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  std::memcpy(address.sun_path, path.data(), path.size());
  if (connect(socket_, reinterpret_cast<const sockaddr*>(&address), sizeof(address)) != 0) {
    ::close(socket_);
    throw std::runtime_error("cannot connect to " + path);
  }
}

RawCaller::~RawCaller() {
  close();
}

void RawCaller::close() {
  if (socket_ >= 0) ::close(socket_);
  socket_ = -1;
}

bool RawCaller::send(const std::string& bytes) const {
  std::size_t sent = 0;
  while (sent < bytes.size()) {
    const auto n = ::send(socket_, bytes.data() + sent, bytes.size() - sent, MSG_NOSIGNAL);
    if (n <= 0) return false;
    sent += static_cast<std::size_t>(n);
  }
  return true;
}

std::string RawCaller::read_some(std::chrono::milliseconds patience) const {
  pollfd waiting{socket_, POLLIN, 0};
  std::array<char, 4096> piece{};
  if (poll(&waiting, 1, static_cast<int>(patience.count())) <= 0) return {};
  const auto n = recv(socket_, piece.data(), piece.size(), 0);
  return n > 0 ? std::string(piece.data(), static_cast<std::size_t>(n)) : std::string();
}

std::string RawCaller::read_all(std::chrono::milliseconds patience) const {
  std::string all;
  for (std::string piece = read_some(patience); !piece.empty(); piece = read_some(patience)) {
    all += piece;
  }
  return all;
}

bool RawCaller::closed_within(std::chrono::milliseconds patience) const {
  pollfd waiting{socket_, POLLIN, 0};
  std::array<char, 4096> piece{};
  while (poll(&waiting, 1, static_cast<int>(patience.count())) > 0) {
    if (recv(socket_, piece.data(), piece.size(), 0) <= 0) return true;
  }
  return false;
}

ServerFixture::ServerFixture(daemon::UnixServerOptions options)
    : router_([this](std::string_view text) {
        const std::lock_guard lock(mutex_);
        reports_.emplace_back(text);
      }) {
  add_routes();
  options.path = path_;
  auto opened = daemon::UnixServer::open(context_, router_, std::move(options));
  if (!opened) throw std::runtime_error(opened.error().text);
  server_ = std::move(*opened);
  thread_ = std::thread([this] { context_.run(); });
}

ServerFixture::~ServerFixture() {
  on_server([this] { server_.reset(); });
  for (std::thread& late : late_) late.join();
  work_.reset();
  context_.stop();
  thread_.join();
}

void ServerFixture::add_routes() {
  router_.add({"GET", "/v1/status", daemon::answer_at_once([](const Request& request) {
                 return daemon::json_response({{"well", true}, {"login", request.peer->login}});
               })});
  router_.add({"GET", "/v1/runs/{id}", daemon::answer_at_once([](const Request& request) {
                 return daemon::json_response(
                     {{"id", request.captured.at("id")}, {"query", request.query}});
               })});
  router_.add(
      {"POST", "/v1/runs/{id}/strike", daemon::answer_at_once([](const Request& request) {
         return daemon::json_response({{"id", request.captured.at("id")}, {"body", request.body}});
       })});
  router_.add({"GET", "/v1/late", [this](const Request&, const Reply& reply) {
                 late_.emplace_back([reply] {
                   std::this_thread::sleep_for(std::chrono::milliseconds(100));
                   reply(daemon::json_response({{"late", true}}));
                   reply(daemon::json_response({{"late", "twice"}}));
                 });
               }});
  router_.add({"GET", "/v1/never",
               [this](const Request&, const Reply& reply) { never_answered_.push_back(reply); }});
  router_.add({"GET", "/v1/throws",
               [](const Request&, const Reply&) { throw std::runtime_error("the inner secret"); }});
  router_.add({"GET", "/v1/busy", daemon::answer_at_once([](const Request&) {
                 return daemon::error_response(Error{Fault::try_later, "a run is going on"});
               })});
  router_.add({"GET", "/v1/text", daemon::answer_at_once([](const Request&) {
                 return daemon::Response{200, "text/plain", "not {JSON}", ""};
               })});
  // Made once: without optimising, a sanitizer takes half a second for it.
  const auto big = daemon::json_response({{"big", std::string(8'000'000, 'x')}});
  router_.add({"GET", "/v1/big", daemon::answer_at_once([big](const Request&) { return big; })});
}

bool ServerFixture::settles_at(std::size_t connections) {
  for (int attempt = 0; attempt < 1500; ++attempt) {
    if (open_connections() == connections) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  return false;
}

std::vector<std::string> ServerFixture::reports() {
  const std::lock_guard lock(mutex_);
  return reports_;
}

std::string curl(const std::string& socket_path, const std::string& arguments) {
  const std::string command = "curl --silent --include --max-time 20 --unix-socket '" +
                              socket_path + "' " + arguments + " 2>&1";
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) throw std::runtime_error("curl does not start");
  std::string output;
  std::array<char, 4096> piece{};
  for (std::size_t n = 1; n > 0;) {
    n = fread(piece.data(), 1, piece.size(), pipe);
    output.append(piece.data(), n);
  }
  pclose(pipe);
  return output;
}

}  // namespace nestcup::test
