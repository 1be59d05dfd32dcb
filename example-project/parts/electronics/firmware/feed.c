/* Feeds the film by one frame at each press of the button. */
#include "board.h"

#define STEPS_PER_FRAME 1524   /* 38 mm, 25.4 mm roller, 3200 steps a turn */

int main(void)
{
    lamp_current_ma(230);
    for (;;) {
        wait_for_button();
        motor_steps(STEPS_PER_FRAME);
    }
}
