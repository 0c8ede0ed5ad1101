// A request that is no question but the beginning of a stream (WebSocket, RFC 6455).
#pragma once

#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/beast/http/message.hpp>
#include <boost/beast/http/string_body.hpp>
#include <functional>
#include <memory>

#include "daemon/control/caller.hpp"
#include "daemon/control/stream_peer.hpp"

namespace nestcup::daemon {

/// A connection whose session is over, with the request that ended it.
struct StreamStart {
  boost::asio::generic::stream_protocol::socket socket;
  boost::beast::http::request<boost::beast::http::string_body> request;
  Caller caller;
  std::function<void()> on_end;  ///< to be called once, when the connection is closed
};

using StreamHandler = std::function<std::shared_ptr<StreamPeer>(StreamStart)>;

}  // namespace nestcup::daemon
