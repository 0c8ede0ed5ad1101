#include "daemon/api/sign_in_api.hpp"

namespace nestcup::daemon {
namespace {

Response sign_in(const Gate& gate, const Request& request) {
  const auto token = request.body.find("token");
  if (token == request.body.end() || !token->is_string()) {
    return error_response({Fault::usage, "a token is needed: {\"token\": \"...\"}"});
  }
  const auto caller = gate.owner(token->get<std::string>());
  if (!caller) {
    return error_response(401, Fault::not_permitted,
                          "this token is not, or no longer, known here; make one with: nestcup "
                          "token add NAME");
  }
  Response response = json_response({{"access", role_word(caller->role)}, {"name", caller->name}});
  response.fields.emplace_back("Set-Cookie", gate.cookie_with(token->get<std::string>()));
  return response;
}

Response sign_out(const Gate& gate) {
  Response response = json_response({{"access", nullptr}});
  response.fields.emplace_back("Set-Cookie", gate.cookie_with(""));
  return response;
}

}  // namespace

const char* role_word(Role role) {
  return role == Role::viewer ? "viewer" : "operator";
}

void add_sign_in_routes(Router& router, const Gate& gate) {
  router.add({"POST", "/v1/login",
              answer_at_once([&gate](const Request& request) { return sign_in(gate, request); })});
  router.add(
      {"POST", "/v1/logout", answer_at_once([&gate](const Request&) { return sign_out(gate); })});
}

}  // namespace nestcup::daemon
