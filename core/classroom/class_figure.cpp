#include "core/classroom/class_figure.hpp"

#include "core/classroom/class_result.hpp"

namespace nestcup {

namespace {

ClassFigure figure_of(const ClassResult& result, const ClassQuantity& quantity) {
  ClassFigure figure;
  figure.title = result.title;
  figure.quantity = quantity.name.kind == QuantityKind::trial
                        ? quantity.name.trial + ": " + quantity.name.what
                        : quantity.name.what;
  figure.unit = quantity.name.unit;
  figure.median = quantity.median;
  if (quantity.robust) {
    figure.robust_mean = quantity.robust->mean;
    figure.robust_sd = quantity.robust->sd;
  }
  if (quantity.accepted) {
    figure.accepted = quantity.accepted->value.value;
    figure.u_accepted = quantity.accepted->value.u;
  }
  for (const BenchValue& bench : quantity.benches) {
    ClassFigureBench one{result.benches[bench.bench].name,
                         bench.value.value(),
                         bench.stated.u,
                         {},
                         bench.is_outlying()};
    for (const auto& [run, value] : bench.runs) one.runs.push_back(value);
    figure.benches.push_back(std::move(one));
  }
  return figure;
}

}  // namespace

std::vector<ClassFigure> class_figures(const ClassResult& result) {
  std::vector<ClassFigure> figures;
  for (const ClassQuantity& quantity : result.quantities) {
    figures.push_back(figure_of(result, quantity));
  }
  return figures;
}

}  // namespace nestcup
