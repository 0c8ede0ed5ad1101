#include "daemon/api/delivery_api.hpp"

#include "core/store/outbox.hpp"
#include "daemon/api/store_answer.hpp"

namespace nestcup::daemon {

void add_delivery_routes(Router& router, Bench& bench, Delivery& delivery) {
  router.add({"POST", "/v1/sync", [&bench, &delivery](const Request&, const Reply& reply) {
                answer_from_store(bench, reply,
                                  [&delivery](Store& store) -> Result<nlohmann::ordered_json> {
                                    int owed = 0;
                                    for (const NotebookState& notebook : delivery.states()) {
                                      const auto again = Outbox(store).try_again(notebook.name);
                                      if (!again) return again.error();
                                      owed += *again;
                                    }
                                    delivery.wake();
                                    return nlohmann::ordered_json{{"owed", owed}};
                                  });
              }});
}

}  // namespace nestcup::daemon
