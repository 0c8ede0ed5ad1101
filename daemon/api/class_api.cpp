#include "daemon/api/class_api.hpp"

#include "daemon/api/hidden_results.hpp"

namespace nestcup::daemon {

void add_class_routes(Router& router, const Bench& bench, ClassWall* wall) {
  router.add({"GET", "/v1/class", [&bench, wall](const Request& request, const Reply& reply) {
                if (wall != nullptr) return wall->answer(reply, hides_from(bench, request));
                reply(error_response({Fault::no_input,
                                      "the bench file has no [class], which names the course's "
                                      "database: url = \"postgres://USER@HOST/DATABASE\""}));
              }});
}

}  // namespace nestcup::daemon
