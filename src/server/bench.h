// One setup of the document on the bench: fitted, and evaluated when first asked for.
#pragma once

#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "engine/evaluate/evaluate.h"
#include "engine/evaluate/weight_curves.h"
#include "report/report.h"

namespace steerbench::server {

// What turning the hand wheel needs, in plain numbers.
struct Plain {
  Fitted<double> fitted;
  Front<double> front;
  Evaluation<double> results;
  std::optional<HandToRack<double>> hand;
  Missing hand_missing;
};

// Immutable to those who read it; may be read by several threads at once.
class FittedSetup {
 public:
  // `entry` is an element of document.setup.
  FittedSetup(const Document& document, const std::pair<std::string, Setup<Quantity>>& entry);

  [[nodiscard]] const std::string& Name() const { return name_; }
  // Everything of the document that bears on this setup, as text: setups whose text is the same
  // have the same results.
  [[nodiscard]] const std::string& Key() const { return key_; }

  [[nodiscard]] const Fitted<Quantity>& AsWritten() const { return fitted_; }
  [[nodiscard]] const Plain& InPlainNumbers() const;
  [[nodiscard]] const SetupReport& Report() const;

  // What the wheel weighs, as a curve of kerb, road, boost or pump, with or without its ±.
  // Throws std::invalid_argument for another word.
  [[nodiscard]] const WeightCurve& Curve(const std::string& of, bool plus_minus) const;

 private:
  std::string name_;
  Setup<Quantity> setup_;
  std::string key_;
  Fitted<Quantity> fitted_;
  fit::Adapters adapters_;
  Named<Belt<Quantity>> belts_;
  mutable std::once_flag plain_once_, report_once_;
  mutable std::optional<Plain> plain_;
  mutable std::optional<SetupReport> report_;
  mutable std::mutex curves_mutex_;
  mutable std::optional<WeightCurves> plain_curves_;
  mutable std::map<std::string, WeightCurve> curves_;  // with ±
};

using SharedSetup = std::shared_ptr<const FittedSetup>;

}  // namespace steerbench::server
