#include "daemon/control/tcp_server.hpp"

#include <fmt/format.h>

#include <boost/asio/ip/v6_only.hpp>
#include <limits>
#include <utility>

namespace nestcup::daemon {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;

constexpr int most_waiting = 64;

std::string with_port(const std::string& host, unsigned short port) {
  return fmt::format("{}:{}", host, port);
}

/// An IPv6 address without one ends with its bracket.
bool has_port(const std::string& host) {
  return host.find(':') != std::string::npos && host.back() != ']';
}

std::string host_text(const asio::ip::address& address) {
  return address.is_v6() ? fmt::format("[{}]", address.to_string()) : address.to_string();
}

/// A socket that listens there. @return its descriptor
Result<int> listening(asio::io_context& context, const tcp::endpoint& endpoint,
                      const std::string& address) {
  boost::beast::error_code code;
  tcp::acceptor acceptor(context);
  acceptor.open(endpoint.protocol(), code);
  if (!code) acceptor.set_option(tcp::acceptor::reuse_address(true), code);
  if (!code && endpoint.address().is_v6()) {
    acceptor.set_option(boost::asio::ip::v6_only(true), code);
  }
  if (!code) acceptor.bind(endpoint, code);
  if (!code) acceptor.listen(most_waiting, code);
  if (!code) return acceptor.release();
  Fault kind = Fault::unavailable;
  std::string hint = "is another bench or program there? choose another port for listen";
  if (code == asio::error::access_denied) {
    kind = Fault::not_permitted;
    hint = "ports below 1024 are for root; choose a higher one";
  } else if (code != asio::error::address_in_use) {
    kind = Fault::bad_configuration;
    hint = "is it an address of this machine?";
  }
  return Error{kind, fmt::format("listen {}: {}; {}", address, code.message(), hint)};
}

}  // namespace

Result<tcp::endpoint> endpoint_of(const std::string& address) {
  const std::size_t colon = address.rfind(':');
  std::string host = address.substr(0, colon);
  const int port = colon == std::string::npos ? 0 : std::atoi(address.c_str() + colon + 1);
  if (host.size() > 2 && host.front() == '[' && host.back() == ']') {
    host = host.substr(1, host.size() - 2);
  }
  if (host == "localhost") host = "127.0.0.1";
  boost::beast::error_code code;
  const auto numeric = asio::ip::make_address(host, code);
  if (!code && port > 0 && port <= std::numeric_limits<std::uint16_t>::max()) {
    return tcp::endpoint(numeric, static_cast<std::uint16_t>(port));
  }
  return Error{Fault::bad_configuration,
               fmt::format("listen {}: the host is no numeric address; expected one such as "
                           "127.0.0.1:8734, or 0.0.0.0:8734 for the whole net",
                           address)};
}

Gate::Settings gate_settings(const tcp::endpoint& endpoint, const std::vector<std::string>& names) {
  const auto port = endpoint.port();
  Gate::Settings settings;
  // A name is for a proxy, behind which everybody seems to be on this machine.
  settings.needs_token = !endpoint.address().is_loopback() || !names.empty();
  settings.cookie = fmt::format("nestcup_{}", port);
  // localhost is for the loopback alone (RFC 6761, section 6.3).
  for (const char* host : {"127.0.0.1", "[::1]", "localhost"}) {
    settings.hosts.push_back(with_port(host, port));
  }
  if (endpoint.address().is_unspecified()) {
    settings.any_address_port = port;
  } else {
    settings.hosts.push_back(with_port(host_text(endpoint.address()), port));
  }
  // Behind a proxy the page is called by a name with the proxy's port, or none.
  for (const std::string& name : names) {
    settings.hosts.push_back(plain_host(name));
    if (has_port(name)) continue;
    settings.hosts.push_back(with_port(plain_host(name), port));
  }
  return settings;
}

Result<std::unique_ptr<TcpServer>> TcpServer::open(asio::io_context& context, const Router& router,
                                                   TcpServerOptions options) {
  const auto endpoint = endpoint_of(options.address);
  if (!endpoint) return endpoint.error();
  const auto descriptor = listening(context, *endpoint, options.address);
  if (!descriptor) return descriptor.error();
  return std::unique_ptr<TcpServer>(
      new TcpServer(context, router, std::move(options), *endpoint, *descriptor));
}

TcpServer::TcpServer(asio::io_context& context, const Router& router, TcpServerOptions options,
                     const tcp::endpoint& endpoint, int descriptor)
    : options_(std::move(options)),
      endpoint_(endpoint),
      gate_(gate_settings(endpoint_, options_.names), options_.token_owner),
      settings_{router, options_.limits, &gate_},
      visitors_(options_.connections),
      door_(
          context, endpoint_.protocol(), descriptor,
          [this](tcp::socket socket) { admit(std::move(socket)); },
          [this](std::string_view text) {
            if (options_.report) options_.report(fmt::format("{}: {}", options_.address, text));
          }) {}

TcpServer::~TcpServer() {
  stop();
}

void TcpServer::stop() {
  door_.close();
  visitors_.close_all();
}

void TcpServer::admit(tcp::socket socket) {
  boost::beast::error_code code;
  const auto peer = socket.remote_endpoint(code);
  if (code) return;  // gone already
  // Behind a proxy on this machine everybody comes from one address.
  const std::string address = peer.address().is_loopback() ? "" : peer.address().to_string();
  const std::size_t most = address.empty() ? options_.connections : options_.connections_per_peer;
  if (!visitors_.make_room(address, most)) return turn_away(socket);
  socket.set_option(tcp::no_delay(true), code);
  visitors_.admit(Session::Socket(std::move(socket)), settings_, std::nullopt, std::nullopt,
                  address);
}

std::string TcpServer::url() const {
  return fmt::format("http://{}:{}/", host_text(endpoint_.address()), endpoint_.port());
}

}  // namespace nestcup::daemon
