! Makes the samples of this folder: gfortran -o make make.f90 && ./make
!
! The published descriptions of data sets 58 and 164 give their layout as Fortran
! formats; here a Fortran compiler writes them, so that our reader is held
! against those formats and not against our reading of them. The numbers are
! invented: catch(i) below, in newtons.
program make
  implicit none
  integer, parameter :: n = 14
  integer :: i
  integer :: u

  ! Single, even, in SI; numbers of 13 columns that touch.
  open (newunit=u, file='single-even.uff')
  call units(u, 1, 'SI: Meter (newton)', 1d0, 1d0)
  call head(u, 'Skerry Head, Marram 9.6, invented', 1, 2, n, 1, 0.5, 2.5e-4, 9, 'Cell', 'N')
  write (u, '(6ES13.5E3)') (real(catch(i)), i=1, n)
  call finish(u)
  close (u)

  ! Double, even, label without units, in pounds by set 164; D exponents.
  open (newunit=u, file='double-even-pounds.uff')
  call units(u, 7, 'IN: Inch (pound f)', 39.37007874015748d0, 0.2248089430997105d0)
  call head(u, 'Skerry Head, Marram 9.6, invented', 1, 4, n, 1, 0.0, 1e-3, 9, 'Cell', 'NONE')
  write (u, '(1P,4D20.12)') (catch(i), i=1, n)
  call finish(u)
  close (u)

  ! Single, uneven.
  open (newunit=u, file='single-uneven.uff')
  call head(u, 'Skerry Head, Samphire 9.6 treated, invented', 1, 2, n, 0, 0.0, 0.0, 13, 'Cell', 'kN')
  write (u, '(6E13.5)') (uneven(i), real(catch(i)), i=1, n)
  call finish(u)
  close (u)

  ! Double, uneven; a value whose exponent has three digits and no E.
  open (newunit=u, file='double-uneven.uff')
  call head(u, 'Skerry Head, Samphire 9.6 treated, invented', 1, 4, n, 0, 0.0, 0.0, 9, 'Cell', 'N')
  write (u, '(2(E13.5,E20.12))') (uneven(i), tiny_at(i), i=1, n)
  call finish(u)
  close (u)

  ! Two drops of one cell, each with the displacement of the mass.
  open (newunit=u, file='two-drops.uff')
  call units(u, 5, 'MM: mm (milli newton)', 1d3, 1d3)
  do i = 1, 2
    call head(u, merge('M-01 fall 1', 'M-01 fall 2', i == 1), 1, 2, n, 1, 0.0, 2.5e-4, 9, 'NONE', 'NONE')
    call series(u, 1e3*i)
    call finish(u)
    call head(u, merge('M-01 fall 1', 'M-01 fall 2', i == 1), 2, 2, n, 1, 0.0, 2.5e-4, 8, 'NONE', 'NONE')
    call series(u, 0.1*i)
    call finish(u)
  end do
  close (u)

contains

  double precision function catch(i)
    integer, intent(in) :: i
    catch = (mod(i*7919, 20011) - 10000)/8d0
  end function

  real function uneven(i)
    integer, intent(in) :: i
    uneven = 0.25*i + 0.03125*mod(i, 3)
  end function

  double precision function tiny_at(i)
    integer, intent(in) :: i
    tiny_at = catch(i)
    if (i == 5) tiny_at = -1.5d-101
  end function

  subroutine series(u, by)
    integer, intent(in) :: u
    real, intent(in) :: by
    integer :: i
    write (u, '(6E13.5)') (real(catch(i))*by, i=1, n)
  end subroutine

  subroutine units(u, code, name, length, force)
    integer, intent(in) :: u, code
    character(*), intent(in) :: name
    double precision, intent(in) :: length, force
    character(20) :: padded
    padded = name
    write (u, '(I6)') -1
    write (u, '(I6)') 164
    write (u, '(I10,A20,I10)') code, padded, 2
    write (u, '(3D25.17)') length, force, 1d0
    write (u, '(D25.17)') 273.15d0
    write (u, '(I6)') -1
  end subroutine

  ! Records 1 to 11 of set 58.
  subroutine head(u, id, node, kind, n, spacing, start, step, axis, label, unit)
    integer, intent(in) :: u, node, kind, n, spacing, axis
    character(*), intent(in) :: id, label, unit
    real, intent(in) :: start, step
    character(20) :: l, v, none
    l = label
    v = unit
    none = 'NONE'
    write (u, '(I6)') -1
    write (u, '(I6)') 58
    write (u, '(A)') id
    write (u, '(A)') 'NONE'
    write (u, '(A)') '25-NOV-26 12:00:00'
    write (u, '(A)') 'NONE'
    write (u, '(A)') 'NONE'
    write (u, '(2(I5,I10),2(1X,A10,I10,I4))') 1, 0, 0, 0, 'NONE      ', node, 3, 'NONE      ', 0, 0
    write (u, '(3I10,3E13.5)') kind, n, spacing, start, step, 0.0
    write (u, '(I10,3I5,2(1X,A20))') 17, 0, 0, 0, 'Time                ', 's                   '
    write (u, '(I10,3I5,2(1X,A20))') axis, 0, 0, 0, l, v
    write (u, '(I10,3I5,2(1X,A20))') 0, 0, 0, 0, none, none
    write (u, '(I10,3I5,2(1X,A20))') 0, 0, 0, 0, none, none
  end subroutine

  subroutine finish(u)
    integer, intent(in) :: u
    write (u, '(I6)') -1
  end subroutine

end program make
