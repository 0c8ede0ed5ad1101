// Serves a Router over TCP, on the io_context's one thread, behind a Gate.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "daemon/control/door.hpp"
#include "daemon/control/gate.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// Where to listen, and for whom.
struct TcpServerOptions {
  std::string address;                    ///< host:port, as the bench file has it
  std::vector<std::string> names;         ///< further ones, of a proxy; with them, nobody is local
  std::size_t connections = 64;           ///< at the same time; more are told to come back later
  std::size_t connections_per_peer = 16;  ///< of one address, unless it is this machine
  SessionLimits limits;
  Gate::TokenOwner token_owner;
  std::function<void(std::string_view)> report = {};  ///< told of trouble, one line each
};

class TcpServer {
 public:
  /// Listens and begins to accept; `router` must outlive the server.
  /// @errors bad_configuration: the host is no address of this machine, or no numeric one;
  ///         unavailable: something else listens there; not_permitted
  [[nodiscard]] static Result<std::unique_ptr<TcpServer>> open(boost::asio::io_context& context,
                                                               const Router& router,
                                                               TcpServerOptions options);
  TcpServer(const TcpServer&) = delete;
  TcpServer& operator=(const TcpServer&) = delete;
  ~TcpServer();

  /// Closes every connection at once. May be called again.
  void stop();

  [[nodiscard]] const Gate& gate() const { return gate_; }
  [[nodiscard]] std::size_t open_connections() const { return visitors_.count(); }
  /// "http://127.0.0.1:8734/"
  [[nodiscard]] std::string url() const;

 private:
  using Protocol = boost::asio::ip::tcp;

  TcpServer(boost::asio::io_context& context, const Router& router, TcpServerOptions options,
            const Protocol::endpoint& endpoint, int descriptor);
  void admit(Protocol::socket socket);

  const TcpServerOptions options_;
  const Protocol::endpoint endpoint_;
  Gate gate_;
  const SessionSettings settings_;
  Visitors visitors_;
  Door<Protocol> door_;
};

/// The address to listen on: a numeric host, or "localhost" for 127.0.0.1.
/// @errors bad_configuration
[[nodiscard]] Result<boost::asio::ip::tcp::endpoint> endpoint_of(const std::string& address);

/// Whom the gate knows by name, and whether it wants a token, for a server at this address.
[[nodiscard]] Gate::Settings gate_settings(const boost::asio::ip::tcp::endpoint& endpoint,
                                           const std::vector<std::string>& names);

}  // namespace nestcup::daemon
