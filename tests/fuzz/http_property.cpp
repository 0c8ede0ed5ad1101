#include "tests/fuzz/http_property.hpp"

#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <memory>

#include "daemon/control/session.hpp"
#include "daemon/control/tcp_server.hpp"
#include "daemon/live/stream_hub.hpp"
#include "daemon/api/sign_in_api.hpp"
#include "tests/fuzz/http_answers.hpp"

namespace nestcup::fuzzing {
namespace {

using namespace nestcup::daemon;

constexpr std::size_t most_pieces = 16;

/// What a bench offers, small; one for all inputs.
class Bench {
 public:
  Bench()
      : gate_(gate_settings(*endpoint_of("127.0.0.1:8734"), {"bench-4.lab.example"}), owner_of),
        hub_(
            context, 2,
            [](const Caller& caller) {
              return Json{{"caller", caller.name}};
            },
            [](const Caller&) { return true; }) {
    add("GET", "/");
    add("GET", "/healthz");
    for (const char* const path : {"/v1/status", "/v1/runs/{id}", "/v1/readings", "/metrics"}) {
      add("GET", path);
    }
    add("POST", "/v1/mark");
    add("POST", "/v1/runs/{id}/strike");
    router_.add({"GET", "/v1/late", [this](const Request& request, const Reply& reply) {
                   boost::asio::post(context, [reply] { reply(json_response({{"late", true}})); });
                   check(request);
                 }});
    add_sign_in_routes(router_, gate_);
    router_.add_stream("/v1/stream", [this](StreamStart start) {
      if (start.caller.name.empty()) fault = "the stream without a token";
      return hub_.join(std::move(start));
    });
  }

  boost::asio::io_context context{1};
  std::string fault;

  [[nodiscard]] SessionSettings settings() const { return {router_, {}, &gate_}; }
  [[nodiscard]] std::size_t watchers() const { return hub_.watchers(); }
  void tell() {
    hub_.reading(0, ++time_us_, 21.5);
    hub_.event(time_us_, "mark", "{\"how\":\"mark\"}");
  }

 private:
  using Json = nlohmann::ordered_json;

  static std::optional<Caller> owner_of(std::string_view token) {
    if (token == "looks") return Caller{Role::viewer, "wall", false};
    if (token == "works") return Caller{Role::bench_operator, "tablet", false};
    return std::nullopt;
  }

  void add(const char* method, const char* pattern) {
    router_.add({method, pattern, answer_at_once([this](const Request& request) {
                   check(request);
                   return json_response({{"path", request.path}, {"body", request.body}});
                 })});
  }
  void check(const Request& request) {
    const bool open = request.path == "/" || request.path == "/healthz";
    if (!open && request.caller.name.empty()) fault = request.path + " without a token";
    if (request.method == "POST" && request.caller.role == Role::viewer) {
      fault = request.path + " by a viewer";
    }
  }

  Router router_;
  Gate gate_;
  StreamHub hub_;
  TimeUs time_us_ = 0;
};

/// The caller's end of a session's connection.
class OtherEnd {
 public:
  explicit OtherEnd(Bench& bench) : bench_(bench) {
    int ends[2] = {-1, -1};
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0, ends) != 0) abort();
    socket_ = ends[0];
    Session::Socket other(bench.context, boost::asio::generic::stream_protocol(AF_UNIX, 0),
                          ends[1]);
    auto session = std::make_shared<Session>(std::move(other), settings_, std::nullopt,
                                             std::nullopt, [this](Session*) { closed_ = true; });
    session_ = session;
    session->start();
  }
  OtherEnd(const OtherEnd&) = delete;
  OtherEnd& operator=(const OtherEnd&) = delete;
  ~OtherEnd() { close(socket_); }

  /// False once the session takes no more.
  bool send(std::string_view bytes) {
    for (int stuck = 0; !bytes.empty() && stuck < 3;) {
      const auto sent = ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
      if (sent > 0) bytes.remove_prefix(static_cast<std::size_t>(sent));
      stuck = sent > 0 ? 0 : stuck + 1;
      turn();
    }
    return bytes.empty();
  }
  void hang_up() {
    shutdown(socket_, SHUT_WR);
    turn();
    if (const auto session = session_.lock()) session->close();
    turn();
  }
  /// Lets the session do what it can, and takes what it says.
  void turn() {
    do {
      bench_.context.restart();
    } while (bench_.context.poll() > 0 || take());
  }
  [[nodiscard]] bool is_gone() const { return closed_ && session_.expired(); }
  [[nodiscard]] const std::string& said() const { return said_; }

 private:
  bool take() {
    char piece[65536];
    const auto got = recv(socket_, piece, sizeof piece, 0);
    if (got > 0) said_.append(piece, static_cast<std::size_t>(got));
    return got > 0;
  }

  Bench& bench_;
  const SessionSettings settings_ = bench_.settings();
  int socket_ = -1;
  std::weak_ptr<Session> session_;
  std::string said_;
  bool closed_ = false;
};

}  // namespace

HttpOutcome http_outcome(std::string_view input) {
  static Bench bench;
  if (input.empty()) return {};
  bench.fault.clear();
  const auto piece = static_cast<unsigned char>(input.front());
  input.remove_prefix(1);
  const std::size_t least = input.size() / most_pieces + 1;  // a turn of the context costs time
  OtherEnd caller(bench);
  while (!input.empty()) {
    const std::size_t wanted = piece == 0 ? input.size() : std::max<std::size_t>(piece, least);
    const std::size_t size = std::min(wanted, input.size());
    if (!caller.send(input.substr(0, size))) break;
    input.remove_prefix(size);
  }
  bench.tell();
  caller.turn();
  HttpOutcome outcome = look_at_answers(caller.said());
  caller.hang_up();
  if (!bench.fault.empty()) outcome.broken = bench.fault;
  if (!caller.is_gone()) outcome.broken = "the session is not gone";
  if (bench.watchers() != 0) outcome.broken = "a watcher is not gone";
  return outcome;
}

}  // namespace nestcup::fuzzing
