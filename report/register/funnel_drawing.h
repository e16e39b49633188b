// An answer of shares as a funnel plot. What is withheld in the answer is not drawn.
#pragma once

#include "report/picture/funnel.h"
#include "report/register/questions.h"

namespace trayproof::registry {

// Whether the answer is one of shares by facility.
bool is_drawn(const Answer& answer);
picture::Funnel drawing_of(const Answer& answer);
// What the drawing is called, and a sheet of it.
std::string title_of_drawing(const Answer& answer);

}  // namespace trayproof::registry
