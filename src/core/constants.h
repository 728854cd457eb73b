/* The one home of every physical and astronomical constant: unit and source beside each.
   Source keys are those of docs/sources.md. */
#ifndef OWL_CORE_CONSTANTS_H
#define OWL_CORE_CONSTANTS_H

#define OWL_PI 3.14159265358979323846
#define OWL_TAU (2.0 * OWL_PI)
#define OWL_RAD_PER_DEG (OWL_PI / 180.0)
#define OWL_DEG_PER_RAD (180.0 / OWL_PI)

#define OWL_SECONDS_PER_DAY 86400.0
#define OWL_SECONDS_PER_HOUR 3600.0
#define OWL_METRES_PER_FOOT 0.3048        /* exact by definition */
#define OWL_ZERO_CELSIUS_K 273.15         /* exact by definition */
#define OWL_GRAVITY_M_S2 9.80665          /* standard gravity, exact by definition */

#define OWL_STEFAN_BOLTZMANN 5.670374419e-8 /* W m-2 K-4 [codata2018] */
#define OWL_PLANCK_J_S 6.62607015e-34       /* exact [codata2018] */
#define OWL_BOLTZMANN_J_K 1.380649e-23      /* exact [codata2018] */
#define OWL_LIGHT_SPEED_M_S 299792458.0     /* exact [codata2018] */

#define OWL_GREEN_WAVELENGTH_M 550e-9       /* where the eye is keenest; the trade's figure for diffraction */

#define OWL_FLASH_CONSTANT_LXS 222.0        /* C_f in Q = C_f N^2/S: median of printed tables [film-data-sheet] */
#define OWL_METER_REFLECTED 12.5            /* K in L = K N^2/(t S), cd s m-2 [iso2720] */
#define OWL_METER_INCIDENT 250.0            /* C in E = C N^2/(t S), lx s, flat receptor [iso2720] */
#define OWL_MID_REFLECTANCE 0.157           /* pi K / C, what meters take for mid grey [iso2720] */

#endif
