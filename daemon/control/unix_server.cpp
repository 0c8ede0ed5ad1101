#include "daemon/control/unix_server.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <boost/asio/buffer.hpp>
#include <chrono>
#include <utility>

#include "daemon/control/peer.hpp"

namespace nestcup::daemon {
namespace {

// Long enough not to spin where the system has no descriptor left, short enough to go unnoticed.
constexpr std::chrono::milliseconds accept_pause{100};

}  // namespace

Result<std::unique_ptr<UnixServer>> UnixServer::open(boost::asio::io_context& context,
                                                     const Router& router,
                                                     UnixServerOptions options) {
  auto file = SocketFile::open(options.path);
  if (!file) return file.error();
  std::unique_ptr<UnixServer> server(
      new UnixServer(context, router, std::move(options), std::move(*file)));
  server->accept();
  return server;
}

UnixServer::UnixServer(boost::asio::io_context& context, const Router& router,
                       UnixServerOptions options, SocketFile file)
    : router_(router),
      options_(std::move(options)),
      file_(std::move(file)),
      acceptor_(context, Protocol(), file_.release_descriptor()),
      pause_(context) {}

UnixServer::~UnixServer() {
  stop();
}

void UnixServer::stop() {
  running_.reset();
  boost::beast::error_code ignored;
  acceptor_.close(ignored);
  pause_.cancel();
  // Each takes itself out of the map as it closes.
  while (!sessions_.empty()) {
    const auto session = sessions_.begin()->second;
    session->close();
  }
  file_.remove();
}

void UnixServer::accept() {
  // A connection may be on its way here when the server stops and goes.
  const std::weak_ptr<int> running = running_;
  acceptor_.async_accept([this, running](boost::beast::error_code code, Protocol::socket socket) {
    if (!running.expired()) on_accept(code, std::move(socket));
  });
}

void UnixServer::on_accept(boost::beast::error_code code, Protocol::socket socket) {
  if (!code) {
    admit(std::move(socket));
    return accept();
  }
  report(fmt::format("control socket: no connection taken: {}", code.message()));
  pause_.expires_after(accept_pause);
  pause_.async_wait([this, running = std::weak_ptr<int>(running_)](boost::beast::error_code) {
    if (!running.expired()) accept();
  });
}

void UnixServer::admit(Protocol::socket socket) {
  if (sessions_.size() >= options_.connections) return turn_away(socket);
  auto credentials = peer_credentials(socket.native_handle());
  if (!credentials) return report(credentials.error().text);
  std::optional<Response> refusal;
  if (!may_use(*credentials, geteuid(), file_.group())) {
    const std::string text = fmt::format("{} may not use this socket; join its group ({})",
                                         credentials->peer.login, file_.group());
    refusal = error_response({Fault::not_permitted, text});
  }
  const auto session = std::make_shared<Session>(
      Session::Socket(std::move(socket)), router_, options_.limits, std::move(credentials->peer),
      std::move(refusal), [this](Session* closed) { sessions_.erase(closed); });
  sessions_.emplace(session.get(), session);
  session->start();
}

void UnixServer::turn_away(Protocol::socket& socket) const {
  const Response response =
      error_response(503, Fault::try_later, "too many connections; try again in a moment");
  const std::string text = fmt::format(
      "HTTP/1.1 503 Service Unavailable\r\nContent-Type: {}\r\nContent-Length: {}\r\n"
      "Connection: close\r\n\r\n{}",
      response.content_type, response.body.size(), response.body);
  // A fresh socket's buffer takes these few bytes; who cannot be told is just closed.
  boost::beast::error_code ignored;
  socket.non_blocking(true, ignored);
  socket.write_some(boost::asio::buffer(text), ignored);
}

void UnixServer::report(std::string_view text) const {
  if (options_.report) options_.report(text);
}

}  // namespace nestcup::daemon
